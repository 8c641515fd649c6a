package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"mastworth/yield/assess"
)

// printEstimate writes an estimate for a person: the verdict first, then the heights, then what to be wary of.
func printEstimate(w io.Writer, e *assess.Estimate, cash bool) error {
	p := &printer{w: w}
	name := e.Request.Site.Name
	if name == "" {
		name = fmt.Sprintf("%.4g, %.4g", e.Request.Site.LatitudeDeg, e.Request.Site.LongitudeDeg)
	}
	machine := e.Request.Turbine.Name
	if machine == "" {
		machine = fmt.Sprintf("%g m rotor", e.Request.Turbine.RotorDiameterM)
	}
	p.line("%s, %s", name, machine)
	p.line("")
	p.line("%s", verdictWords[e.Verdict.Answer])
	for _, r := range e.Verdict.Reasons {
		p.wrapped("  - ", r.Detail)
	}
	p.line("")
	p.heights(e)
	p.decision(e, cash)
	p.matching(e)
	p.surroundings(e)
	p.longTerm(e)
	p.extreme(e)
	p.warnings(e)
	p.line("")
	p.line("Before you build")
	for _, c := range e.Cautions {
		p.wrapped("  - ", c.Text)
	}
	p.line("")
	p.line("Where the numbers come from")
	for _, s := range e.Provenance {
		p.wrapped("  - ", fmt.Sprintf("%s: %s (%s)", s.What, s.Method, s.Source))
	}
	return p.err
}

var verdictWords = map[assess.Answer]string{
	assess.WorthIt:    "On cost per kWh the mast is worth it.",
	assess.CloseCall:  "On cost per kWh it is a close call.",
	assess.NotWorthIt: "On cost per kWh the mast is not worth it.",
	assess.CannotSay:  "There is too little to go on for a verdict.",
}

// printer keeps the first write error, so that the layout reads as layout.
type printer struct {
	w   io.Writer
	err error
}

func (p *printer) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format+"\n", args...)
	}
}

const lineWidth = 100

// wrapped writes a paragraph with a hanging indent as wide as the bullet.
func (p *printer) wrapped(bullet, text string) {
	indent := strings.Repeat(" ", len(bullet))
	line := bullet
	for _, word := range strings.Fields(text) {
		if len(line)+1+len(word) > lineWidth && line != bullet {
			p.line("%s", strings.TrimRight(line, " "))
			line = indent
		}
		line += word + " "
	}
	p.line("%s", strings.TrimRight(line, " "))
}

func (p *printer) heights(e *assess.Estimate) {
	if p.err != nil {
		return
	}
	cur := e.Request.Money.Currency
	t := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', tabwriter.AlignRight)
	row := func(cells ...string) { fmt.Fprintln(t, strings.Join(cells, "\t")+"\t") } //nolint:errcheck // told by Flush
	row("hub", "mean wind", "wind energy", "capacity", "capital", "wind", "equal-cost", "solar energy", "solar")
	row("m", "m/s", "kWh/year", "factor", cur, cur+"/kWh", "solar kW", "kWh/year", cur+"/kWh")
	for _, h := range e.Heights {
		mark := ""
		if h.HubHeightM == e.BestHubHeightM {
			mark = "* "
		}
		row(mark+number(h.HubHeightM, "%g"), number(h.Wind.MeanSpeedMS, "%.2f"), number(h.Energy.NetKWh, "%.0f"),
			number(h.Energy.CapacityFactor, "%.3f"), number(h.Cost.Capital, "%.0f"), number(h.Cost.PerKWh, "%.2f"),
			number(h.Solar.ArrayKW, "%.2f"), number(h.Solar.AnnualKWh, "%.0f"), number(h.Solar.PerKWh, "%.2f"))
	}
	p.err = t.Flush()
	if e.BestHubHeightM == e.BestHubHeightM {
		p.line("* the cheapest kWh from wind")
	}
}

// number writes a figure, or a dash where there is none. What rounds to nothing has no sign.
func number(v float64, format string) string {
	if v != v {
		return "-"
	}
	s := fmt.Sprintf(format, v)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

func (p *printer) warnings(e *assess.Estimate) {
	type said struct{ at, text string }
	var all []said
	for _, w := range e.Warnings {
		all = append(all, said{"", w.Detail})
	}
	for _, h := range e.Heights {
		for _, w := range h.Warnings {
			all = append(all, said{fmt.Sprintf("at %g m: ", h.HubHeightM), w.Detail})
		}
	}
	if len(all) == 0 {
		return
	}
	p.line("")
	p.line("Mind that")
	for _, s := range all {
		p.wrapped("  - ", s.at+s.text)
	}
}
