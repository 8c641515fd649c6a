package climate

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// Bounds of the warnings, all judgement.
const (
	fewUndirected = 0.1  // share of speeds without a direction
	fitMisses     = 0.05 // of the mean cube
	fewGusts      = 0.5  // share of steps with a gust
)

func (cl *Climate) add(code, format string, values ...any) {
	cl.Warnings = append(cl.Warnings, resource.Warning{Code: code, Detail: fmt.Sprintf(format, values...)})
}

// warn says where the climate leans on something weak.
func (cl *Climate) warn(s *resource.Series, g *gathered) {
	if n := g.negative + g.infinite; n > 0 {
		cl.add("speed_impossible", "%d speeds of %q are below zero or infinite and were left out; look at the sensor and its calibration.",
			n, cl.Channel)
	}
	if cl.N == 0 {
		cl.add("no_usable_speed", "Channel %q has no usable speed; there is nothing to describe.", cl.Channel)
		return
	}
	cl.warnTime(s)
	cl.warnRose(g)
	for _, f := range cl.Fits {
		if f.Used && math.Abs(f.MeanCubeError) > fitMisses {
			side := "more"
			if f.MeanCubeError < 0 {
				side = "less"
			}
			cl.add("fit_misses_energy", "The fitted Weibull wind has %.0f %% %s energy in it than the measured wind (mean cube); take energy from the record itself, not from the fit.",
				100*math.Abs(f.MeanCubeError), side)
		}
		if f.Method == resource.MaximumLikelihood && f.Err != nil {
			cl.add("no_fit", "No Weibull distribution could be fitted: %v.", f.Err)
		}
	}
	cl.warnTurbulence()
	cl.warnGusts(len(g.entries))
}

func (cl *Climate) warnTime(s *resource.Series) {
	switch n := cl.MonthsCounted; {
	case n == 0:
		cl.add("part_year", "No calendar month is measured for at least %d days; the means stand for the days there are, not for a year.", fewestDaysOfMonth)
	case n == 1:
		cl.add("part_year", "Only one calendar month is measured for at least %d days; the means stand for that month, not for a year.", fewestDaysOfMonth)
	case n < 12:
		cl.add("part_year", "Only %d calendar months are measured for at least %d days; the means stand for those months, not for a year.", n, fewestDaysOfMonth)
	}
	if cl.Uneven {
		cl.add("uneven_months", "Some months are measured more fully than others; each counts by its length, which moves the mean by %s and the mean cube by %s.",
			change(cl.Evened.MeanMS/cl.Plain.MeanMS), change(cl.Evened.MeanCubeM3S3/cl.Plain.MeanCubeM3S3))
	}
	switch {
	case s.Kind == resource.Daily || s.StepS >= secondsPerDay:
		cl.add("daily_means", "The record holds daily means: the hours of the day say nothing, and the spread of speeds, the mean cube and the fit's shape are too even.")
	case s.StepS > secondsPerHour:
		cl.add("coarse_step", "The record's step is %g h: only the hours at which a step begins have a mean.", float64(s.StepS)/secondsPerHour)
	}
}

// change is how far a ratio is from 1, in words.
func change(ratio float64) string {
	percent := 100 * (ratio - 1)
	if math.Abs(percent) < 0.05 {
		return "less than 0.1 %"
	}
	return fmt.Sprintf("%+.1f %%", percent)
}

func (cl *Climate) warnRose(g *gathered) {
	switch {
	case len(g.entries) == 0:
	case cl.Sectors == nil:
		cl.add("no_direction", "The record has no usable wind direction; there is no rose.")
	case cl.Undirected > fewUndirected:
		cl.add("direction_missing", "%.0f %% of the speeds above zero have no usable direction and are not in the rose.", 100*cl.Undirected)
	}
}

func (cl *Climate) warnTurbulence() {
	t := cl.Turbulence
	if t == nil {
		return
	}
	if t.Odd > 0 {
		cl.add("deviation_impossible", "%d standard deviations of %q are below zero or infinite and were left out.", t.Odd, t.Channel)
	}
	switch {
	case t.StepS > standardStepS:
		cl.add("turbulence_step", "Turbulence intensity is defined over 10 minutes; the record's step is %g min, so the drift of the mean counts as turbulence and the figures are too high.",
			float64(t.StepS)/60)
	case t.StepS < standardStepS:
		cl.add("turbulence_step", "Turbulence intensity is defined over 10 minutes; the record's step is %g min, so slow eddies are missed and the figures are too low.",
			float64(t.StepS)/60)
	}
	if t.Implied15 > designI15 {
		cl.add("turbulent", "The representative turbulence intensity at 15 m/s is %.2f (from the wind at %g m/s); small turbines are designed for %.2f. A taller tower gets above much of it.",
			t.Implied15, t.Implied15FromMS, designI15)
	}
}

func (cl *Climate) warnGusts(blowing int) {
	q := cl.Gusts
	if q == nil {
		return
	}
	if q.Odd > 0 {
		cl.add("gust_below_mean", "%d gusts of %q are below the mean of their step, or infinite, and were left out; look at the columns' order and units.",
			q.Odd, q.Channel)
	}
	if given := q.N + q.Slow + q.Odd; float64(given) < fewGusts*float64(blowing) {
		cl.add("gusts_partial", "Only %.0f %% of the steps have a gust. Where gusts are noted only when the wind is gusty, the gust factor is too high.",
			100*float64(given)/float64(blowing))
	}
}
