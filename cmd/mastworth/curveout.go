package main

import (
	"fmt"
	"io"
	"strings"

	"mastworth/api/chart"
	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/yield"
	"mastworth/yield/assess"
	"mastworth/yield/bins"
	"mastworth/yield/machine"
)

// curveAnswer is a curve for a program: what the service answers of a turbine, and what the command alone knows.
type curveAnswer struct {
	openapi.Machine
	AirDensityKgM3 float64               `json:"air_density_kg_m3"`
	PowerFrom      string                `json:"power_from,omitempty"` // the columns of a log
	Import         *openapi.ImportReport `json:"import,omitempty"`     // how a log was read
	Comparison     *comparison           `json:"comparison,omitempty"`
	Warnings       openapi.Warnings      `json:"warnings"`
}

// comparison is a design beside a measured curve, for a program. Both are at the machine's terminals.
type comparison struct {
	AirDensityKgM3 float64            `json:"air_density_kg_m3"`
	RMSW           *float64           `json:"rms_w"`
	BiasW          *float64           `json:"bias_w"`
	WithinTwo      int                `json:"bins_within_two_uncertainties"`
	WithUncertain  int                `json:"bins_with_uncertainty"`
	Bins           []comparisonBin    `json:"bins"`
	Energy         []comparisonEnergy `json:"energy"`
	Warnings       openapi.Warnings   `json:"warnings"`
}

type comparisonBin struct {
	WindMS       float64  `json:"wind_m_s"`
	DesignW      float64  `json:"design_w"`
	MeasuredW    *float64 `json:"measured_w"`
	UncertaintyW *float64 `json:"uncertainty_w"`
	Ratio        *float64 `json:"measured_over_design"`
	Thin         bool     `json:"thin"` // told, but not counted
}

type comparisonEnergy struct {
	MeanSpeedMS float64  `json:"mean_speed_m_s"`
	DesignKWh   float64  `json:"design_kwh"`
	MeasuredKWh float64  `json:"measured_kwh"`
	Ratio       *float64 `json:"measured_over_design"`
}

func fromComparison(c *machine.Comparison) *comparison {
	out := &comparison{AirDensityKgM3: c.AirDensityKgM3, RMSW: document.OrNull(c.RMSW), BiasW: document.OrNull(c.BiasW), WithinTwo: c.WithinTwo,
		WithUncertain: c.WithUncertain, Bins: []comparisonBin{}, Energy: []comparisonEnergy{}, Warnings: wireWarnings(c.Warnings)}
	for _, r := range c.Rows {
		out.Bins = append(out.Bins, comparisonBin{r.WindMS, r.DesignW, document.OrNull(r.MeasuredW), document.OrNull(r.UncertaintyW), document.OrNull(r.Ratio), r.Thin})
	}
	for _, e := range c.Energy {
		out.Energy = append(out.Energy, comparisonEnergy{e.MeanSpeedMS, e.DesignKWh, e.MeasuredKWh, document.OrNull(e.Ratio)})
	}
	return out
}

func wireWarnings(in []assess.Warning) openapi.Warnings {
	out := make(openapi.Warnings, len(in))
	for i, w := range in {
		out[i] = openapi.Warning(w)
	}
	return out
}

// log makes and prints the curve of a log that has been read.
func (j *curveJob) log(turbine assess.Turbine, read *recordRead) error {
	if err := usable(j.name, read); err != nil {
		return err
	}
	if err := generatorKnown(j.name, read, &turbine); err != nil {
		return err
	}
	turbine.TestLog.Record.Series = read.series
	complete, made, warnings, err := assess.CurveOf(turbine)
	if err != nil {
		return err
	}
	var found *machine.Comparison
	if j.beside != nil {
		// A log is taken at the machine's terminals.
		if found, err = machine.Compare(j.beside.Design.Result.Curve, measuredOf(made.Measured), nil); err != nil {
			return fmt.Errorf("comparing with the design: %w", err)
		}
	}
	speed := speedOf(read, turbine.TestLog.Options.HubHeightM)
	from := powerSource(read.series, read.series.Channels[speed].HeightM)
	switch j.format {
	case "svg":
		curves := []chart.PowerCurve{drawnBins(made.Measured)}
		if found != nil {
			curves = append(curves, drawnDesign(found))
		}
		if err := j.picture(curves...); err != nil {
			return err
		}
		return warnAside(j.s.err, append(readingWarnings(read), warnings...))
	case "csv":
		if err := j.measuredCSV(&complete, made); err != nil {
			return err
		}
		if found != nil {
			warnings = append(warnings, found.Warnings...)
		}
		return warnAside(j.s.err, append(readingWarnings(read), warnings...))
	case "json":
		report := document.FromReport(&read.report)
		out := curveAnswer{Machine: document.FromMachine(made, complete.CurvePoints), AirDensityKgM3: complete.CurveDensity, PowerFrom: from,
			Import: &report, Warnings: wireWarnings(warnings)}
		if found != nil {
			out.Comparison = fromComparison(found)
		}
		return printAs(j.s.out, "json", out)
	}
	p := &printer{w: j.s.out}
	p.reading(read)
	p.line("")
	p.line("wind from %q, power from %s", read.series.Channels[speed].Name, from)
	p.line("")
	p.measured(made.Measured)
	p.remarks(warnings)
	if found != nil {
		p.comparison(found)
	}
	return p.err
}

// designed prints the curve of a design.
func (j *curveJob) designed(turbine *assess.Turbine, made *assess.Machine, warnings []assess.Warning) error {
	switch j.format {
	case "svg":
		if err := j.picture(drawnLine(made.Design.Result.Curve.Points())); err != nil {
			return err
		}
		return warnAside(j.s.err, warnings)
	case "csv":
		if err := j.designedCSV(turbine, made); err != nil {
			return err
		}
		return warnAside(j.s.err, warnings)
	case "json":
		return printAs(j.s.out, "json", curveAnswer{Machine: document.FromMachine(made, turbine.CurvePoints), AirDensityKgM3: turbine.CurveDensity,
			Warnings: wireWarnings(warnings)})
	}
	p := &printer{w: j.s.out}
	p.designed(turbine, made)
	p.remarks(warnings)
	return p.err
}

// designedCSV has both powers: at the machine's terminals, and what wire and converter leave for the load.
func (j *curveJob) designedCSV(t *assess.Turbine, m *assess.Machine) error {
	var b strings.Builder
	b.WriteString("wind_speed_m_s,terminal_w,delivered_w,air_density_kg_m3\n")
	terminals, delivered := m.Design.Result.Curve.Points(), m.Design.Result.Delivered.Points()
	for i, p := range delivered {
		fmt.Fprintf(&b, "%.6g,%.6g,%.6g,%.6g\n", p.SpeedMS, terminals[i].PowerW, p.PowerW, t.CurveDensity)
	}
	_, err := io.WriteString(j.s.out, b.String())
	return err
}

// measuredCSV is at the machine's terminals; a design to compare with is a column beside.
func (j *curveJob) measuredCSV(t *assess.Turbine, m *assess.Machine) error {
	var b strings.Builder
	b.WriteString("wind_speed_m_s,terminal_w,air_density_kg_m3")
	var design *yield.Curve
	if j.beside != nil {
		design = j.beside.Design.Result.Curve
		b.WriteString(",design_terminal_w")
	}
	b.WriteString("\n")
	for _, p := range t.CurvePoints {
		fmt.Fprintf(&b, "%.6g,%.6g,%.6g", p.SpeedMS, p.PowerW, t.CurveDensity)
		if design != nil {
			fmt.Fprintf(&b, ",%.6g", design.Power(p.SpeedMS))
		}
		b.WriteString("\n")
	}
	_, err := io.WriteString(j.s.out, b.String())
	return err
}

// warnAside tells warnings where they do not mix with figures.
func warnAside(w io.Writer, warnings []assess.Warning) error {
	p := &printer{w: w}
	for _, x := range warnings {
		p.wrapped("mastworth: ", x.Detail)
	}
	return p.err
}

// readingWarnings is what was assumed and what was wrong in reading a log.
func readingWarnings(read *recordRead) []assess.Warning {
	report := document.FromReport(&read.report)
	out := document.ImportWarnings(&report)
	for i := range out {
		out[i].Detail = read.words(strings.Replace(out[i].Detail, "the import report lists", "mastworth inspect lists", 1))
	}
	return out
}

// measuredOf are the bins as a comparison wants them.
func measuredOf(r *bins.Result) machine.Measured {
	out := machine.Measured{AirDensityKgM3: r.ReferenceDensity}
	for i := range r.Bins {
		if b := &r.Bins[i]; b.N > 0 {
			out.Points = append(out.Points, machine.MeasuredPoint{SpeedMS: b.SpeedMS, PowerW: b.PowerW, UncertaintyW: b.UncertaintyW(), Thin: !b.Complete})
		}
	}
	return out
}
