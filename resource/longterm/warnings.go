package longterm

import (
	"fmt"
	"math"
	"time"

	"mastworth/resource"
)

// What a long-term correction is warned of below. Judgement.
const (
	mostElevationM = 100 // apart
	wholeYearDays  = 330 // time in common that covers all seasons
	fewYears       = 5
)

func (r *Result) warn(code, format string, args ...any) {
	r.Warnings = append(r.Warnings, resource.Warning{Code: "long_term_" + code, Detail: fmt.Sprintf(format, args...)})
}

// day writes a Unix time as a date, in UTC.
func day(unix int64) string { return time.Unix(unix, 0).UTC().Format("2006-01-02") }

// warnPairs warns of what the time in common shows.
func (r *Result) warnPairs(m *match, p *pairs) {
	if r.R2 < weakR2 {
		r.warn("weak_correlation", "record and reference share %.0f %% of their variance (r² %.2f over averages of %d s): the prediction leans on the reference less than it looks; a reference nearer by, or more like the site, would serve better",
			100*r.R2, r.R2, r.AverageS)
	}
	if days := float64(r.ConcurrentN) * float64(r.AverageS) / secondsPerDay; days < wholeYearDays {
		r.warn("season", "record and reference have %.0f days in common: seasons that are not among them are predicted from those that are; measure for a year", days)
	}
	if n := r.LeaveOut.Months; n < fewestMonths {
		months := fmt.Sprintf("only %d months", n)
		switch n {
		case 0:
			months = "no month"
		case 1:
			months = "only one month"
		}
		r.warn("few_months", "%s can be predicted from the others, too few to tell the error of the prediction; a month's error of %.0f %% is taken in its place",
			months, 100*monthError)
	}
	if r.Method == LeastSquares {
		r.warn("variance_lost", "least squares loses spread: over the time in common its mean cube, and so the wind's power, is %+.0f %% off the measured one; the variance ratio keeps the spread",
			100*(r.Concurrent.PredictedMeanCube/r.Concurrent.TargetMeanCube-1))
	}
	if r.ShiftS != 0 {
		r.warn("shifted", "the reference matches best with its clock moved by %+.2g h: check the time zone and whether stamps mark the beginning or the end of a step, in both files",
			float64(r.ShiftS)/secondsPerHour)
	}
	if m.reference.Kind == resource.Daily || m.target.Kind == resource.Daily {
		r.warn("daily", "the relation was found between daily means: they are smoother than the wind, and tell little of how the two differ within a day")
	}
	r.warnSectors(m)
}

func (r *Result) warnSectors(m *match) {
	if m.refDirection == nil {
		if m.o.Sectors {
			r.warn("no_sectors", "the reference has no wind direction: one line was fitted to all directions together")
		}
		if m.target.Find(resource.Direction, math.NaN()) >= 0 {
			r.warn("no_direction", "the reference has no wind direction, so the prediction has none either, though the record has: what depends on direction is left out")
		}
		return
	}
	thin := 0
	for _, f := range r.Fits {
		if f.Source != "own" {
			thin++
		}
	}
	if thin > 0 {
		r.warn("thin_sectors", "%d of %d sectors have fewer than %d pairs, or pairs that do not rise together: the line of all directions stands in for theirs",
			thin, SectorCount, m.fewestInSector())
	}
}

// warnHindcast warns of what the prediction shows.
func (r *Result) warnHindcast(m *match) {
	if r.Clipped > 0 {
		r.warn("clipped", "%d predicted speeds came out below zero and were set to zero", r.Clipped)
	}
	if r.LongTerm.Years < fewYears {
		r.warn("brief_reference", "the reference covers %.1f years: its own mean may be %.0f %% off the long run; ten years or more are better",
			r.LongTerm.Years, 100*r.Uncertainty.Reference)
	}
	if a, b := m.target.Place, m.reference.Place; a != nil && b != nil {
		if apart := math.Abs(a.ElevationM - b.ElevationM); apart > mostElevationM && m.reference.Find(resource.Pressure, math.NaN()) >= 0 {
			r.warn("elevation", "the reference lies %.0f m of elevation away from the record, and its air pressure is taken as it is: the density of the air is about %.0f %% off", apart, apart/100)
		}
	}
}
