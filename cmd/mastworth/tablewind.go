package main

import (
	"fmt"
	"strings"
	"text/tabwriter"
	"time"

	"mastworth/yield/assess"
)

// surroundings tells what stands around the mast does at each height, and which siting rules each tower breaks.
func (p *printer) surroundings(e *assess.Estimate) {
	if p.err != nil || len(e.Heights) == 0 || e.Heights[0].Surroundings == nil {
		return
	}
	p.line("")
	p.line("What stands around the mast")
	t := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', tabwriter.AlignRight)
	row := func(cells ...string) { fmt.Fprintln(t, strings.Join(cells, "\t")+"\t") } //nolint:errcheck // told by Flush
	row("hub", "lost to", "gained on", "mean wind", "added", "siting rules")
	row("m", "obstacles", "relief", "from..to, m/s", "turbulence", "broken")
	for _, h := range e.Heights {
		s := h.Surroundings
		broken := 0
		for _, r := range h.Siting {
			if r.Broken {
				broken++
			}
		}
		row(number(h.HubHeightM, "%g"), number(100*s.ObstacleLossShare, "%.0f %%"), number(100*s.ReliefGainShare, "%.0f %%"),
			number(s.SpeedLowMS, "%.2f")+".."+number(s.SpeedHighMS, "%.2f"), number(s.AddedTurbulence, "%.3f"),
			fmt.Sprintf("%d of %d", broken, len(h.Siting)))
	}
	if p.err = t.Flush(); p.err != nil {
		return
	}
	if e.Heights[0].Surroundings.InMeasuredWind {
		p.line("The sensors stood among it: the measured wind has its own share of loss and gain already.")
	}
	if len(e.Heights[0].Siting) == 0 {
		return
	}
	p.line("Siting rules, and the lowest hub that satisfies each")
	for _, r := range e.Heights[0].Siting {
		lowest := "nothing within its reach"
		if r.LowestHubM == r.LowestHubM {
			lowest = fmt.Sprintf("%.1f m", r.LowestHubM)
		}
		p.wrapped("  - ", fmt.Sprintf("%s: %s (%s)", lowest, r.Words, r.Source))
	}
}

func (p *printer) longTerm(e *assess.Estimate) {
	r := e.LongTerm
	if r == nil {
		return
	}
	day := func(unix int64) string { return time.Unix(unix, 0).UTC().Format("2006-01-02") }
	p.line("")
	p.line("The long run")
	p.wrapped("  - ", fmt.Sprintf("%s to %s both records hold %d pairs, with a correlation of %.2f; over the reference's whole time the mean "+
		"where it was measured is %.2f m/s, against %.2f m/s over the time both have", day(r.ConcurrentFromUnix), day(r.ConcurrentToUnix), r.ConcurrentN,
		r.R, r.LongTerm.PredictedMeanMS, r.Concurrent.TargetMeanMS))
	p.wrapped("  - ", fmt.Sprintf("months left out and predicted from the others are off by %s %% of the mean (%d of them); expect the long-run "+
		"mean to be good to %s %% (one standard uncertainty)", number(100*r.LeaveOut.MeanErrorRMS, "%.1f"), r.LeaveOut.Months,
		number(100*r.StandardUncertainty, "%.1f")))
}

func (p *printer) extreme(e *assess.Estimate) {
	x := e.ExtremeWind
	if x == nil {
		return
	}
	p.line("")
	p.line("The strongest wind in 50 years, at %s m", number(x.HeightM, "%.3g"))
	class := "no class of IEC 61400-2 would cover it"
	if x.Class != "" {
		class = fmt.Sprintf("class %s of IEC 61400-2 (%.4g m/s) would cover it", x.Class, x.ClassGustMS)
	}
	p.wrapped("  - ", fmt.Sprintf("a gust of some %s m/s (up to %s m/s at the end of its band), from %d maxima in %s years; by the rule of five times "+
		"the mean %s m/s; %s", number(x.Gust50MS, "%.0f"), number(x.Gust50HighMS, "%.0f"), x.Maxima, number(x.Years, "%.3g"),
		number(x.RuleGustMS, "%.0f"), class))
	p.wrapped("  - ", x.Caution)
}
