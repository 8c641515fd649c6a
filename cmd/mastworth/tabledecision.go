package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"text/tabwriter"

	"mastworth/yield/assess"
	"mastworth/yield/household"
)

// rows writes a table, each cell to the right of its column.
func (p *printer) rows(write func(row func(cells ...string))) {
	if p.err != nil {
		return
	}
	var b strings.Builder
	t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', tabwriter.AlignRight)
	write(func(cells ...string) { fmt.Fprintln(t, strings.Join(cells, "\t")+"\t") }) //nolint:errcheck // kept in memory
	t.Flush()                                                                        //nolint:errcheck // likewise
	for line := range strings.Lines(b.String()) {
		p.line("%s", strings.TrimRight(line, " \n")) // an empty last cell leaves blanks
	}
}

// percent writes a share.
func percent(share float64) string {
	switch {
	case share != share:
		return "-"
	case share > 0 && share < 0.005:
		return "<1 %"
	case share < 1 && share > 0.995:
		return ">99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// odds writes how sure the heights' energy and cost are.
func (p *printer) odds(e *assess.Estimate) {
	if e.Odds == nil {
		return
	}
	p.line("")
	p.line("How sure: net energy of a year of the life that is exceeded with 50, 75 and 90 %%, and chances")
	p.rows(func(row func(...string)) {
		row("hub", "P50", "P75", "P90", "cheaper", "cheaper than", "cheapest")
		row("m", "kWh", "kWh", "kWh", "than solar", "its worth", "height")
		for i := range e.Heights {
			h := &e.Heights[i]
			life := &h.Odds.Life.Energy
			row(number(h.HubHeightM, "%g"), number(life.P50.Value, "%.0f"), number(life.P75.Value, "%.0f"), number(life.P90.Value, "%.0f"),
				percent(h.Odds.BelowSolar.Share), percent(h.Odds.BelowPrice.Share), percent(h.Odds.Cheapest.Share))
		}
	})
}

// decision writes what helps to decide beside the verdict.
func (p *printer) decision(e *assess.Estimate, cash bool) {
	d := &e.Decision
	p.odds(e)
	p.steps(e)
	if len(d.BreakEvens) > 0 {
		p.line("")
		p.line("What would change it")
		for i := range d.BreakEvens {
			p.wrapped("  - ", d.BreakEvens[i].Words)
		}
	}
	p.measuring(e)
	p.split(e)
	p.cash(e, cash)
}

func (p *printer) steps(e *assess.Estimate) {
	d := &e.Decision
	if len(d.Steps) > 1 {
		p.line("")
		p.line("From each tower to the next")
		p.rows(func(row func(...string)) {
			cur := e.Request.Money.Currency
			row("hub", "extra cost", "extra energy", "a further kWh", "")
			row("m", cur+"/year", "kWh/year", cur, "")
			for _, s := range d.Steps {
				note := ""
				if s.Dominated {
					note = "another makes as much for less"
				}
				row(number(s.HubHeightM, "%g"), number(s.ExtraCost, "%.0f"), number(s.ExtraKWh, "%.0f"), number(s.MarginalPerKWh, "%.2f"), note)
			}
		})
		if d.BestValueHubM == d.BestValueHubM && d.BestValueHubM != e.BestHubHeightM {
			p.line("The highest net present value is at %g m.", d.BestValueHubM)
		}
	}
	p.clears(d.Clear)
}

// clears says from which tower on the siting rules are kept, which are written out with what stands around the mast.
func (p *printer) clears(rules []assess.ClearHeight) {
	if len(rules) == 0 {
		return
	}
	kept, none := map[float64]int{}, 0
	for _, r := range rules {
		if r.HubHeightM == r.HubHeightM {
			kept[r.HubHeightM]++
		} else {
			none++
		}
	}
	var parts []string
	for _, hub := range slices.Sorted(maps.Keys(kept)) {
		parts = append(parts, fmt.Sprintf("%g m is the first tower to keep %d of %d", hub, kept[hub], len(rules)))
	}
	if none > 0 {
		parts = append(parts, fmt.Sprintf("no tower here keeps %d of %d", none, len(rules)))
	}
	p.wrapped("", "Of the siting rules told below, "+strings.Join(parts, "; ")+".")
}

func (p *printer) measuring(e *assess.Estimate) {
	d := &e.Decision
	if d.Measuring == nil && d.NextStep == nil {
		return
	}
	p.line("")
	p.line("Measure first?")
	if m := d.Measuring; m != nil {
		p.rows(func(row func(...string)) {
			row("months", "wind known to", "turns the decision", "worth")
			row("", "", "", e.Request.Money.Currency)
			row("0", percent(m.SpeedSD), "", "")
			for _, c := range m.Campaigns {
				row(fmt.Sprint(c.Months), percent(c.SpeedSDAfter), percent(c.FlipChance), number(c.ValueOfMeasuring, "%.0f"))
			}
		})
	}
	if s := d.NextStep; s != nil {
		p.wrapped("", strings.ToUpper(s.Words[:1])+s.Words[1:]+".")
	}
}

func (p *printer) split(e *assess.Estimate) {
	s := e.Decision.Split
	if s == nil {
		return
	}
	p.line("")
	p.line("The same money split")
	cur := e.Request.Money.Currency
	tell := func(what string, i int, of *household.SplitTable) {
		if i < 0 {
			return
		}
		r := &of.Rows[i]
		p.wrapped("  - ", fmt.Sprintf("%s: %s, at %s %s a kWh", what, bought(s, r), number(r.CostPerKWh, "%.2f"), cur))
	}
	tell("cheapest", s.Cheapest, &s.SplitTable)
	tell("most even over the months", s.MostEven, &s.SplitTable)
	tell("most even if machines came in all sizes", s.AnySize.MostEven, &s.AnySize)
	if c := s.Complement; c != nil {
		p.wrapped("  - ", fmt.Sprintf("the months of wind and of sun go together with a correlation of %s; both are below their means in %d of the 12 months",
			number(c.Correlation, "%.2f"), c.BothBelow))
	}
	p.notes(s.Warnings, "")
	if h := s.Home; h != nil {
		p.home(s, h)
	}
}

// notes writes what a part of the decision has to say of itself, but for what is told already.
func (p *printer) notes(list []assess.Warning, told string) {
	for _, w := range list {
		if w.Code != told {
			p.wrapped("  - ", w.Detail)
		}
	}
}

// bought says what a row of a split buys.
func bought(s *assess.Split, r *household.SplitRow) string {
	var parts []string
	if r.Wind >= 0 && r.Machines > 0 {
		share := ""
		if r.Machines != 1 {
			share = fmt.Sprintf("%.2f of ", r.Machines)
		}
		parts = append(parts, fmt.Sprintf("%sthe machine at %g m (%.0f kWh a year)", share, s.Towers[r.Wind], r.WindKWh))
	}
	if r.SolarUnits > 0.005 {
		parts = append(parts, fmt.Sprintf("%.1f kW of solar (%.0f kWh)", r.SolarUnits, r.SolarKWh))
	}
	if len(parts) == 0 {
		return "nothing"
	}
	return strings.Join(parts, " and ")
}

func (p *printer) home(s *assess.Split, h *assess.Home) {
	p.line("")
	p.line("The household of %.0f kWh a year", h.YearlyKWh)
	p.rows(func(row func(...string)) {
		row("", "made", "used at home", "bought", "left over")
		row("", "kWh/year", "of it", "of the need", "of it")
		of := func(name string, r *household.Result) {
			y := r.Yearly()
			row(name, number(y.WindKWh+y.SolarKWh, "%.0f"), percent(r.SelfUsedShare()), percent(r.UnmetShare()), percent(r.SpilledShare()))
		}
		of("wind alone", &h.Wind)
		of("solar alone", &h.Solar)
		if h.Mixed != nil {
			of("both", h.Mixed)
		}
	})
	if h.MixedRow >= 0 {
		p.wrapped("", "Both: "+bought(s, &s.Rows[h.MixedRow])+", for the same money.")
	}
}

func (p *printer) cash(e *assess.Estimate, table bool) {
	f := e.Decision.Cash
	if f == nil {
		return
	}
	cur := e.Request.Money.Currency
	p.line("")
	p.line("Cash over %d years at %g m, without tax, grants or loans", e.Request.Money.LifeYears, e.BestHubHeightM)
	years := func(v float64) string {
		if v != v {
			return "not within the life"
		}
		return fmt.Sprintf("after %.1f years", v)
	}
	irr := "no single one"
	if f.IRR == f.IRR {
		irr = fmt.Sprintf("%.1f %% a year", 100*f.IRR)
	}
	p.wrapped("", fmt.Sprintf("Net present value %.0f %s; internal rate of return: %s; paid back: %s, discounted: %s.", f.NPV, cur, irr, years(f.PaybackYears),
		years(f.DiscountedPaybackYears)))
	p.notes(f.Warnings, "never_pays_back") // the line above has it
	if !table {
		return
	}
	p.rows(func(row func(...string)) {
		row("year", "energy", "income", "running", "replaced", "net", "sum", "discounted sum")
		row("", "kWh", cur, cur, cur, cur, cur, cur)
		for _, y := range f.Years {
			row(fmt.Sprint(y.Year), number(y.EnergyKWh, "%.0f"), number(y.Income, "%.0f"), number(y.Running, "%.0f"), number(y.Replacement, "%.0f"),
				number(y.Net, "%.0f"), number(y.Cumulative, "%.0f"), number(y.CumulativeDiscounted, "%.0f"))
		}
	})
}
