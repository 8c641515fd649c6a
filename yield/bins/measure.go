package bins

import (
	"fmt"
	"math"

	"mastworth/resource"
	"mastworth/yield"
)

// warnings gathers what a result leans on.
type warnings []resource.Warning

func (w *warnings) add(code, format string, values ...any) {
	*w = append(*w, resource.Warning{Code: code, Detail: fmt.Sprintf(format, values...)})
}

// Measure makes a power curve of a log. A log or options that cannot be are a *Fault; a power that the rotor cannot have made,
// such as kW labelled W, too; wind and power whose clocks are 10 minutes or more apart are a *ShiftError, with the Result's
// ShiftFoundS set. A log that is too short is no error: the result says what is missing. Nothing in the log is changed.
func Measure(l Log, o Options) (Result, error) {
	if err := l.check(); err != nil {
		return Result{}, err
	}
	if err := o.fill(&l); err != nil {
		return Result{}, err
	}
	var warn warnings
	watts, how, err := l.power(o.Generator)
	if err != nil {
		return Result{}, err
	}
	air, err := newAtmosphere(&l, &o, &warn)
	if err != nil {
		return Result{}, err
	}
	lift, shear, assumed := o.lift()
	p := average(&l, l.moved(watts, o.PowerShiftS), o.AveragingS, lift)
	r := Result{AveragingS: o.AveragingS, ReferenceDensity: o.ReferenceDensity, Air: air.Air}
	r.ShiftFoundS, r.ShiftCorrelation, r.UnshiftedCorrelation = findShift(p, o.AveragingS)
	if r.ShiftFoundS >= refusedShiftS || r.ShiftFoundS <= -refusedShiftS {
		return r, &ShiftError{r.ShiftFoundS, r.ShiftCorrelation, r.UnshiftedCorrelation}
	}
	g := gather(p, air, &o)
	r.account(p, g)
	if g.used == 0 {
		return r, &Fault{"times", -1, fmt.Sprintf("no period of %d s holds both wind and power and is used: %s", o.AveragingS, r.leftInWords())}
	}
	r.MeanDensity = g.density / float64(g.used)
	r.NeedMinutes, r.NeedH = rules(o.AveragingS)
	r.Bins = g.bins(&o, r.NeedMinutes)
	categoryB(r.Bins, &o, shear)
	r.TotalHours = float64(g.used) * float64(o.AveragingS) / 3600
	if err := r.checkPower(&o, &warn); err != nil {
		return r, err
	}
	r.judge(&o)
	if err := r.draw(&o, &warn); err != nil {
		return r, err
	}
	r.checkIdle(g, &warn)
	r.remark(&l, &o, how, assumed, &warn)
	r.Warnings = warn
	return r, nil
}

// draw makes the curves and the energies.
func (r *Result) draw(o *Options, warn *warnings) error {
	for _, b := range r.Bins {
		if b.N == 0 {
			continue
		}
		point := yield.Point{SpeedMS: b.SpeedMS, PowerW: max(0, b.PowerW)}
		r.Sketch = append(r.Sketch, point)
		if b.Complete {
			r.Curve = append(r.Curve, point)
		}
	}
	if len(r.Curve) < 2 {
		warn.add("no_curve", "only %d of %d bins hold enough for a curve; what there is is a sketch", len(r.Curve), len(r.Sketch))
		r.Curve = nil
		return nil
	}
	curve, err := yield.NewCurve(r.Curve, o.ReferenceDensity)
	if err != nil {
		return fmt.Errorf("the curve of the bins: %w", err)
	}
	r.AEP = energies(r.Bins, curve, o.CutOutMS)
	return nil
}

// account says what was used and what was left out, and why.
func (r *Result) account(p *periods, g *gathered) {
	r.Used = g.used
	left := func(reason, detail string, n int) {
		if n > 0 {
			r.Left = append(r.Left, LeftOut{reason, detail, n})
		}
	}
	left("missing", "rows without wind or without power", p.silent)
	left("out_of_range", fmt.Sprintf("rows with a wind below 0 or above %d m/s, or an infinite power", maxSpeedMS), p.wild)
	left("thin", "periods less than nine tenths full", p.thin)
	left("sector", "periods with wind from a sector to leave out", g.sector)
	left("no_direction", "periods whose wind direction is not known, while sectors are to be left out", g.undirected)
	left("too_fast", "periods with more wind at the hub than there are bins for", g.beyond)
}

func (r *Result) leftInWords() string {
	out := ""
	for _, l := range r.Left {
		if out != "" {
			out += "; "
		}
		out += fmt.Sprintf("%d %s", l.N, l.Detail)
	}
	return out
}

// remark warns of how the log was taken.
func (r *Result) remark(l *Log, o *Options, how string, assumed bool, warn *warnings) {
	if how != "recorded" {
		warn.add("power_derived", "the power was not recorded but made of %s; the stated uncertainty of power is that of a meter", how)
	}
	if o.AveragingS != defaultAveragingS && o.AveragingS != standardAveragingS {
		warn.add("averaging_unusual", "averages of %d s; the standard asks for %d s of small machines and %d s of others, and longer averages "+
			"bend the curve where it is not straight", o.AveragingS, defaultAveragingS, standardAveragingS)
	}
	if assumed {
		warn.add("shear_assumed", "the wind was taken from %g m to the hub at %g m with an exponent of %g, which is assumed: measure it, or put the "+
			"sensor at hub height", o.SensorHeightM, o.HubHeightM, defaultShear)
	}
	const nearHub = 0.025 // of hub height, IEC 61400-12-1, from memory
	if ratio := o.SensorHeightM / o.HubHeightM; ratio > 0 && !math.IsInf(ratio, 1) && math.Abs(ratio-1) > nearHub {
		warn.add("sensor_not_at_hub", "the wind sensor is at %g m and the hub at %g m; the standard asks for one within 2.5 %% of hub height", o.SensorHeightM,
			o.HubHeightM)
	}
	if r.ShiftFoundS != 0 {
		way, s := "ahead of", r.ShiftFoundS
		if s < 0 {
			way, s = "behind", -s
		}
		warn.add("clocks_apart", "the clock of the power is %s %s that of the wind: this widens every bin; move the power by %d s", duration(s), way,
			-r.ShiftFoundS)
	}
	for _, x := range r.Left {
		if x.Reason == "out_of_range" {
			warn.add("out_of_range", "%d rows have a wind below 0 or above %d m/s, or an infinite power, and were not used; check the sensor and its unit",
				x.N, maxSpeedMS)
		}
	}
}
