package main

import (
	"fmt"
	"math"
	"strings"

	"mastworth/resource"
	"mastworth/resource/climate"
	"mastworth/resource/extreme"
)

// printWind tells the statistics of one speed channel.
func printWind(p *printer, s *resource.Series, channel, sectors int) {
	p.line("")
	p.line("Wind: %s", s.Channels[channel].Name)
	st, err := resource.Describe(s, channel)
	if err != nil {
		p.wrapped("  ", err.Error())
		return
	}
	p.line("  usable      %d values, %.1f %% of the time; %d missing, %d left out", st.N, 100*st.Completeness, st.Missing, st.Flagged)
	if st.N == 0 {
		p.line("  there is no usable speed in it")
		return
	}
	p.line("  mean        %.2f m/s (mean of monthly means %s m/s), highest %.1f m/s", st.Mean, number(st.MeanOfMonths, "%.2f"), st.Max)
	p.line("  power       %.0f W/m² in air of %.3f kg/m³%s", st.PowerDensity, st.AirDensity, airWords(s))
	p.line("  calm        %.1f %%", 100*st.CalmShare)
	if st.FitError != nil {
		p.wrapped("  Weibull     ", st.FitError.Error())
	} else {
		p.line("  Weibull     shape %.3f ± %.3f, scale %.3f ± %.3f m/s (maximum likelihood; distance to the data %.3f)",
			st.Fit.Shape, st.Fit.ShapeSE, st.Fit.Scale, st.Fit.ScaleSE, st.Fit.Distance)
	}
	p.line("  by month    %s m/s", periodWords(st.Months[:]))
	p.line("  by hour     %s m/s", periodWords(st.Hours[:]))
	printClimate(p, s, channel, sectors)
}

// printClimate tells what the plain statistics do not.
func printClimate(p *printer, s *resource.Series, channel, sectors int) {
	c, err := climate.Of(s, channel, climate.Options{Sectors: sectors})
	if err != nil {
		p.wrapped("  ", err.Error())
		return
	}
	if len(c.Years) > 1 {
		words := make([]string, len(c.Years))
		for i, y := range c.Years {
			words[i] = fmt.Sprintf("%d %s", y.Year, number(y.MeanMS, "%.1f"))
		}
		p.wrapped("  by year     ", strings.Join(words, ", ")+" m/s")
	}
	if t := c.Turbulence; t != nil {
		p.line("  turbulence  %s of the mean above 5 m/s; %s at 15 m/s, not exceeded 90 %% of the time", number(t.Above5.Mean, "%.2f"),
			number(t.Implied15, "%.2f"))
	}
	if g := c.Gusts; g != nil {
		p.line("  gusts       %s times the mean above 5 m/s", number(g.Above5.Mean, "%.2f"))
	}
	printStrongest(p, s, channel)
	for _, f := range c.Fits {
		if f.Err == nil && !f.Used {
			p.line("  beside it   %s: shape %.3f, scale %.3f m/s, power of the wind %+.1f %%", strings.ReplaceAll(string(f.Method), "_", " "),
				f.Shape, f.Scale, 100*f.MeanCubeError)
		}
	}
	if len(c.Sectors) > 0 {
		p.line("  by direction, share of time, of the wind's energy, mean speed")
	}
	for _, sec := range c.Sectors {
		p.line("    %3.0f to %3.0f°  %5.1f %%  %5.1f %%  %s m/s", sec.FromDeg, sec.ToDeg, 100*sec.Share, 100*sec.EnergyShare, number(sec.MeanMS, "%.2f"))
	}
	for _, w := range c.Warnings {
		p.wrapped("  - ", w.Detail)
	}
}

// printStrongest tells the 50-year gust where the record has the years for it.
func printStrongest(p *printer, s *resource.Series, channel int) {
	x, err := extreme.FiftyYear(s, channel, extreme.Options{})
	if err != nil {
		return // most records are too short, and nobody asked
	}
	p.line("  strongest   a gust of some %.0f m/s once in 50 years, by %s (%d in %.3g years)", x.Gust50MS, x.Basis, x.Maxima, x.Years)
	for _, w := range x.Warnings {
		p.wrapped("  - ", w.Detail)
	}
}

// printShear tells the shear between two heights, where a record has them.
func printShear(p *printer, s *resource.Series) {
	t, err := resource.MeasuredShear(s, resource.SectorCount)
	if err != nil {
		return
	}
	all := t.OverallClass()
	p.line("")
	p.line("Shear between %g and %g m", t.LowM, t.HighM)
	p.line("  exponent    %.3f ± %s over all, %.3f by night, %.3f by day (%d pairs)", all.Exponent, number(all.StandardError, "%.3f"),
		t.ByDay[0], t.ByDay[1], t.N)
	words := make([]string, 12)
	for m := range words {
		words[m] = fmt.Sprintf("%.2f/%.2f", t.At(m, -1, false).Exponent, t.At(m, -1, true).Exponent)
	}
	p.line("  by month    %s (night/day)", strings.Join(words, " "))
	for _, c := range t.Checks {
		p.line("  check       %g m: %.2f m/s predicted, %.2f m/s measured (%+.1f %%)", c.HeightM, c.PredictedMS, c.MeasuredMS, 100*c.RelativeError)
	}
	for _, w := range t.Warnings() {
		p.wrapped("  - ", w.Detail)
	}
}

// airWords says so where the density leans on sea level for want of a pressure or an elevation.
func airWords(s *resource.Series) string {
	known := s.Place != nil && s.Place.ElevationM == s.Place.ElevationM
	if known || s.Find(resource.Pressure, math.NaN()) >= 0 {
		return ""
	}
	return ", sea level assumed: the file tells neither pressure nor elevation"
}

func periodWords(periods []resource.PeriodStat) string {
	words := make([]string, len(periods))
	for i, m := range periods {
		words[i] = number(m.Mean, "%.1f")
	}
	return strings.Join(words, " ")
}

// printRules lists the rules of screening with their limits as they were.
func printRules(p *printer, r *recordRead) {
	p.line("")
	p.line("Rules of screening")
	for _, rule := range resource.Rules() {
		p.wrapped("  - ", rule.Name+": "+rule.Doc)
		for _, l := range rule.Limits {
			value, ok := r.screening.Limits[l.Name]
			if !ok {
				value = l.Value
			}
			p.wrapped("      ", strings.TrimSpace(fmt.Sprintf("%s=%g %s", l.Name, value, l.Unit))+": "+l.Doc)
		}
	}
}
