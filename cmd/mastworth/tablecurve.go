package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"mastworth/yield/assess"
	"mastworth/yield/bins"
	"mastworth/yield/drive"
	"mastworth/yield/machine"
)

// grid writes rows of right-aligned cells.
func (p *printer) grid(rows [][]string) {
	if p.err != nil {
		return
	}
	t := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, r := range rows {
		fmt.Fprintln(t, strings.Join(r, "\t")+"\t") //nolint:errcheck // told by Flush
	}
	p.err = t.Flush()
}

func (p *printer) remarks(warnings []assess.Warning) {
	if len(warnings) == 0 {
		return
	}
	p.line("")
	p.line("Mind that")
	for _, w := range warnings {
		p.wrapped("  - ", w.Detail)
	}
}

// measured tells a curve made of a log.
func (p *printer) measured(r *bins.Result) {
	p.line("Measured curve: %.1f h in averages of %d s, for air of %.4g kg/m³ (it was %.4g)", r.TotalHours, r.AveragingS, r.ReferenceDensity, r.MeanDensity)
	p.line("")
	rows := [][]string{{"bin", "wind", "power", "scatter", "type A", "type B", "Cp", "minutes", ""}, {"m/s", "m/s", "W", "W", "W", "W", "", "", ""}}
	for i := range r.Bins {
		b := &r.Bins[i]
		mark := ""
		if !b.Complete {
			mark = "too few"
		}
		rows = append(rows, []string{number(b.CentreMS, "%.1f"), number(b.SpeedMS, "%.2f"), number(b.PowerW, "%.1f"), number(b.SDW, "%.1f"),
			number(b.UncertaintyAW, "%.1f"), number(b.UncertaintyBW, "%.1f"), number(b.Cp, "%.3f"), number(b.Minutes, "%.0f"), mark})
	}
	p.grid(rows)
	if r.Complete {
		p.line("The log is complete by the rules for small machines.")
	} else {
		p.line("What is missing by the rules for small machines")
		for _, m := range r.Missing {
			p.wrapped("  - ", m)
		}
	}
	for _, l := range r.Left {
		p.line("left out: %d %s", l.N, l.Detail)
	}
	if len(r.AEP) == 0 {
		return
	}
	p.line("")
	p.line("A year's energy in a Rayleigh wind, before losses")
	rows = [][]string{{"mean wind", "measured", "extrapolated", "uncertainty", ""}, {"m/s", "kWh", "kWh", "kWh", ""}}
	for _, e := range r.AEP {
		mark := ""
		if !e.Complete {
			mark = "less than 95 % of it was measured"
		}
		rows = append(rows, []string{number(e.MeanSpeedMS, "%g"), number(e.MeasuredKWh, "%.0f"), number(e.ExtrapolatedKWh, "%.0f"),
			number(e.UncertaintyKWh, "%.0f"), mark})
	}
	p.grid(rows)
}

// designed tells a curve worked out from a design.
func (p *printer) designed(t *assess.Turbine, m *assess.Machine) {
	s := m.Design
	r := &s.Result
	name := t.Name
	if name == "" {
		name = "the machine"
	}
	p.line("%s: %g m rotor, solidity %.2f; %s", name, t.RotorDiameterM, s.Solidity, m.Reading)
	p.line("best power coefficient of the rotor %.3f at a tip-speed ratio of %.1f; the free rotor turns at %.1f", s.BestCp, s.BestLambda, s.RunawayLambda)
	p.line("starts in %s m/s, makes current from %s m/s, keeps on down to %s m/s", least(r.StartWindMS), least(r.CutInMS), least(r.StopMS))
	p.line("")
	rows := [][]string{{"wind", "rotor", "tip", "tip-speed", "from the", "gear", "iron", "winding", "diodes", "wire", "load", "delivered", "of the", ""},
		{"m/s", "rpm", "m/s", "ratio", "wind W", "W", "W", "W", "W", "W", "W", "W", "wind", ""}}
	for i := range r.Points {
		if o := &r.Points[i]; o.WindMS == float64(int(o.WindMS)) && o.WindMS <= 20 {
			rows = append(rows, operating(o))
		}
	}
	p.grid(rows)
	p.line("")
	p.line("In a storm of %g m/s and on the way there", float64(drive.OverspeedMS))
	for _, o := range []struct {
		what string
		at   *drive.Point
	}{{"on load", &r.Overspeed.OnLoad}, {"with the load lost", &r.Overspeed.LoadLost}, {"with the load lost and furling stuck", &r.Overspeed.Runaway}} {
		p.line("  %s the rotor turns at %.0f rpm in %.3g m/s, its tips at %.0f m/s", o.what, o.at.RotorRPM, o.at.WindMS, o.at.TipSpeedMS)
	}
	p.wrapped("  - ", "A rotor that loses its load runs away and throws its blades. Keep a load or a brake connected, fit a furling or a second "+
		"brake that works without power, and keep everybody out of the plane of the rotor.")
}

// least writes a wind from which something happens: a machine without drag starts in the least there is.
func least(windMS float64) string {
	if windMS < 0.05 {
		return "less than 0.1"
	}
	return number(windMS, "%.1f")
}

func operating(o *drive.Point) []string {
	return []string{number(o.WindMS, "%g"), number(o.RotorRPM, "%.0f"), number(o.TipSpeedMS, "%.1f"), number(o.Lambda, "%.2f"), number(o.AeroW, "%.1f"),
		number(o.GearLossW, "%.1f"), number(o.IronLossW, "%.1f"), number(o.CopperLossW, "%.1f"), number(o.DiodeLossW, "%.1f"),
		number(o.WireLossW, "%.1f"), number(o.LoadLossW, "%.1f"), number(o.DeliveredW, "%.1f"), number(o.ElectricalCp, "%.3f"),
		strings.ReplaceAll(string(o.State), "_", " ")}
}

// comparison tells a design beside a measured curve.
func (p *printer) comparison(c *machine.Comparison) {
	p.line("")
	p.line("The design beside it, at the machine's terminals")
	rows := [][]string{{"wind", "design", "measured", "±", "measured", ""}, {"m/s", "W", "W", "W", "over design", ""}}
	for _, r := range c.Rows {
		mark := ""
		if r.Thin {
			mark = "not counted"
		}
		rows = append(rows, []string{number(r.WindMS, "%.2f"), number(r.DesignW, "%.1f"), number(r.MeasuredW, "%.1f"), number(r.UncertaintyW, "%.1f"),
			number(r.Ratio, "%.2f"), mark})
	}
	p.grid(rows)
	p.line("apart by %s W (root mean square), measured less design %s W; %d of %d bins within twice their uncertainty", number(c.RMSW, "%.1f"),
		number(c.BiasW, "%+.1f"), c.WithinTwo, c.WithUncertain)
	for _, e := range c.Energy {
		p.line("a year in %g m/s: %.0f kWh designed, %.0f kWh measured (%s)", e.MeanSpeedMS, e.DesignKWh, e.MeasuredKWh, number(e.Ratio, "%.2f"))
	}
	p.remarks(c.Warnings)
}

// matching tells what a sweep found.
func (p *printer) matching(e *assess.Estimate) {
	if e.Machine == nil || len(e.Machine.Matching) == 0 {
		return
	}
	const shown, explained = 12, 3
	p.line("")
	p.line("Other gears, windings and batteries in this wind, at %g m; energy before losses, as what the load gets", e.BestHubHeightM)
	rows := [][]string{{"", "generator", "turns", "battery", "charges", "from", "peak", "a year", "within"}, {"", "per rotor", "ratio", "V", "rpm", "m/s", "W", "kWh", "rating kWh"}}
	all := e.Machine.Matching
	for i := range all[:min(shown, len(all))] {
		c := &all[i]
		battery := "-"
		if c.BatteryVoltsV > 0 {
			battery = number(c.BatteryVoltsV, "%.3g")
		}
		rows = append(rows, []string{fmt.Sprint(i + 1), number(c.GeneratorPerRotor, "%.3g"), number(c.TurnsRatio, "%.3g"), battery,
			number(c.ChargingRPM, "%.0f"), number(c.CutInMS, "%.1f"), number(c.PeakW, "%.0f"), number(c.AnnualKWh, "%.0f"), number(c.WithinRatingKWh, "%.0f")})
	}
	p.grid(rows)
	for i := range all[:min(explained, len(all))] {
		p.wrapped("  - ", fmt.Sprintf("%d: %s", i+1, all[i].Why))
	}
	if len(all) > explained {
		p.causes(all[explained:min(shown, len(all))], explained+1)
	}
	if n := len(all) - shown; n > 0 {
		p.line("  and %d more, which --format json lists", n)
	}
}

// causeWords say in short what holds a combination back.
var causeWords = map[drive.Cause]string{
	drive.Matched: "well matched", drive.Starved: "the generator turns too slowly to charge in much of this wind",
	drive.HeldSlow: "the load holds the rotor below its best speed", drive.RunsFast: "the load lets the rotor run above its best speed",
	drive.FurledEarly: "turned out of the wind early", drive.Resistance: "lost in winding, rectifier, wire or converter",
	drive.Friction: "lost in gear and iron",
}

// causes tells what holds the other combinations back, a line a cause, in the order of the best of each.
func (p *printer) causes(others []drive.Candidate, from int) {
	numbers := map[drive.Cause][]string{}
	var order []drive.Cause
	for i := range others {
		c := others[i].Cause
		if numbers[c] == nil {
			order = append(order, c)
		}
		numbers[c] = append(numbers[c], fmt.Sprint(from+i))
	}
	for _, c := range order {
		words := causeWords[c]
		if words == "" {
			words = strings.ReplaceAll(string(c), "_", " ")
		}
		p.wrapped("  - ", fmt.Sprintf("%s: %s", strings.Join(numbers[c], ", "), words))
	}
}
