package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/yield"
	"mastworth/yield/assess"
	"mastworth/yield/bins"
	"mastworth/yield/machine"
)

func curveCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "curve LOGFILE|DESIGNFILE",
		Short: "Make a power curve from a machine's own log, or from its design",
		Long: "A log is a table of wind and power (or volts and amps), read like any record; its curve is made by the method of bins.\n" +
			"A design is a document (.yaml or .json) with a turbine as in a request, or a whole request. With --design beside a log,\n" +
			"the two are compared.",
		Args: oneArg("log or design"),
	}
	format := formatFlag(c, "table", "table", "json", "csv")
	diameter := c.Flags().Float64("rotor-diameter-m", 0, "of the rotor; needed for a log")
	regulation := c.Flags().String("regulation", "none", "how power is held in strong wind: furling, stall, pitch, none")
	leaveOut := c.Flags().StringArray("leave-out-deg", nil, "a sector of wind directions not to use, as FROM-TO in degrees, such as 90-120")
	beside := c.Flags().String("design", "", "a design to compare the log with")
	var o bins.Options
	c.Flags().Int64Var(&o.AveragingS, "averaging-s", 0, "averaging period, s; 0: a minute, or the log's step")
	c.Flags().Float64Var(&o.HubHeightM, "hub-height-m", 0, "of the machine; 0: that of the wind sensor")
	c.Flags().Float64Var(&o.ShearExponent, "shear-exponent", 0, "of the power law between sensor and hub; 0: 0.2, with a warning")
	elevation := c.Flags().String("elevation-m", "", "above sea level, where no pressure was logged")
	c.Flags().Int64Var(&o.PowerShiftS, "power-shift-s", 0, "by how many seconds to move the power's clock")
	reading := readingFlags(c)
	c.RunE = func(_ *cobra.Command, args []string) error {
		if err := format.check(); err != nil {
			return err
		}
		if isDocument(args[0]) {
			return designedCurve(s, args[0], format.value)
		}
		if err := logOptions(&o, *diameter, *regulation, *leaveOut, *elevation); err != nil {
			return usageError{err}
		}
		options, err := reading()
		if err != nil {
			return err
		}
		read, err := readRecord(args[0], options, resource.ScreenOptions{}, s.err)
		if err != nil {
			return err
		}
		turbine := assess.Turbine{RotorDiameterM: *diameter, RatedPowerW: math.NaN(), CurveDensity: math.NaN(), Regulation: o.Regulation,
			TestLog: &assess.TestLog{Record: &assess.Record{Ref: args[0], Series: read.series, HeightM: math.NaN()}, Options: o}}
		complete, made, warnings, err := assess.CurveOf(turbine)
		if err != nil {
			return err
		}
		if format.value != "table" {
			return printCurveAs(s.out, format.value, &complete, made)
		}
		p := &printer{w: s.out}
		p.measured(made.Measured)
		p.remarks(warnings)
		if *beside != "" {
			if err := p.compare(*beside, made.Measured, s); err != nil {
				return err
			}
		}
		return p.err
	}
	return c
}

// isDocument tells a design from a log by its name.
func isDocument(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".yaml", ".yml":
		return true
	case ".json":
		text, err := os.ReadFile(name)
		return err == nil && strings.Contains(string(text), `"turbine"`) || err == nil && strings.Contains(string(text), `"design"`)
	}
	return false
}

func logOptions(o *bins.Options, diameterM float64, regulation string, sectors []string, elevation string) error {
	if diameterM == 0 {
		return errors.New("a log needs --rotor-diameter-m, without which no slip of a unit can be seen")
	}
	o.RotorDiameterM = diameterM
	var ok bool
	if o.Regulation, ok = yield.ParseRegulation(regulation); !ok {
		return fmt.Errorf("--regulation must be furling, stall, pitch or none, not %q", regulation)
	}
	o.ElevationM = math.NaN()
	if elevation != "" {
		var err error
		if o.ElevationM, err = strconv.ParseFloat(elevation, 64); err != nil {
			return fmt.Errorf("--elevation-m must be a number of metres, not %q", elevation)
		}
	}
	for _, text := range sectors {
		from, to, ok := strings.Cut(text, "-")
		a, err := strconv.ParseFloat(from, 64)
		b, err2 := strconv.ParseFloat(to, 64)
		if !ok || err != nil || err2 != nil {
			return fmt.Errorf("--leave-out-deg is FROM-TO in degrees, such as 90-120, not %q", text)
		}
		o.LeaveOut = append(o.LeaveOut, [2]float64{a, b})
	}
	return nil
}

// readTurbine reads a document with a turbine, or a whole request, and takes the turbine.
func readTurbine(name string, s streams) (openapi.TurbineInput, error) {
	data, _, err := readDocument(name, s.in)
	if err != nil {
		return openapi.TurbineInput{}, err
	}
	in, err := document.DecodeTurbine(data, document.Auto)
	if err == nil {
		return in, nil
	}
	if whole, wholeErr := document.Decode(data, document.Auto); wholeErr == nil {
		whole.Turbine.TestLog, whole.Turbine.Curve = nil, nil
		return whole.Turbine, nil
	}
	return openapi.TurbineInput{}, err
}

func solveTurbine(name string, s streams) (assess.Turbine, *assess.Machine, []assess.Warning, error) {
	in, err := readTurbine(name, s)
	if err != nil {
		return assess.Turbine{}, nil, nil, err
	}
	if in.Design == nil {
		return assess.Turbine{}, nil, nil, usageError{fmt.Errorf("%s holds no design; a turbine's curve by its power table needs no work", name)}
	}
	turbine, _ := document.ToTurbine(in)
	return assess.CurveOf(turbine)
}

func designedCurve(s streams, name, format string) error {
	turbine, made, warnings, err := solveTurbine(name, s)
	if err != nil {
		return err
	}
	if format != "table" {
		return printCurveAs(s.out, format, &turbine, made)
	}
	p := &printer{w: s.out}
	p.designed(&turbine, made)
	p.remarks(warnings)
	return p.err
}

func printCurveAs(w io.Writer, format string, t *assess.Turbine, m *assess.Machine) error {
	if format == "json" {
		return printAs(w, "json", document.FromMachine(m, t.CurvePoints))
	}
	var b strings.Builder
	b.WriteString("wind_speed_m_s,power_w\n")
	for _, p := range t.CurvePoints {
		fmt.Fprintf(&b, "%g,%g\n", p.SpeedMS, p.PowerW)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// compare puts a design beside the measured curve, bin by bin.
func (p *printer) compare(name string, r *bins.Result, s streams) error {
	_, made, _, err := solveTurbine(name, s)
	if err != nil {
		return err
	}
	// A log is taken at the machine's terminals.
	found, err := machine.Compare(made.Design.Result.Curve, measuredOf(r), nil)
	if err != nil {
		return err
	}
	p.comparison(found)
	return nil
}

// measuredOf are the bins as a comparison wants them.
func measuredOf(r *bins.Result) machine.Measured {
	out := machine.Measured{AirDensityKgM3: r.ReferenceDensity}
	for i := range r.Bins {
		if b := &r.Bins[i]; b.N > 0 {
			out.Points = append(out.Points, machine.MeasuredPoint{SpeedMS: b.SpeedMS, PowerW: b.PowerW, UncertaintyW: b.UncertaintyW()})
		}
	}
	return out
}
