package extreme

import (
	"fmt"
	"math"

	"mastworth/resource"
)

const (
	hour        = 3600
	tenMinutes  = 600
	fewYears    = 15 // below it, 50 years are more than about three times what was seen
	fullYear    = 0.95
	wideHeights = 2.0 // ratio of hub to measuring height beyond which the exponent 0.11 carries much
)

// warn tells where the extreme leans on something weak.
func (x *Extreme) warn(s *resource.Series, c *resource.Channel, maxima []Maximum) {
	say := func(code, format string, args ...any) {
		x.Warnings = append(x.Warnings, resource.Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
	}
	if x.Basis == StormBasis {
		say("extreme_from_storms", "the extreme wind rests on %d storms in %.1f years, as fewer than %d calendar years are complete: "+
			"a windy or calm spell of years moves it; compare it with a long record near by", x.Maxima, x.Years, fewestYears)
	} else if x.Years < fewYears {
		say("extreme_few_years", "the extreme wind rests on %d yearly maxima; below %d its error is large: the 90 %% band of the "+
			"50-year mean reaches to a gust of %.1f m/s", x.Maxima, fewYears, x.Gust50HighMS)
	}
	x.warnGaps(maxima, say)
	if !x.GustMeasured {
		x.warnStep(s, say)
	}
	for i := 1; i < len(maxima) && x.Basis == AnnualBasis; i++ {
		if a, b := maxima[i-1], maxima[i]; b.AtUnix-a.AtUnix < stormApartS {
			say("extreme_storm_twice", "the largest speeds of %d and %d are of one storm over New Year, which counts twice", a.Year, b.Year)
		}
	}
	if low, high := x.spread(); high > low*(1+spreadLimit) {
		say("extreme_estimators_differ", "the three estimators of the 50-year mean lie between %.1f and %.1f m/s: the maxima hardly "+
			"follow the distribution, which one odd value can do: look at the largest, %.1f m/s in %d, whether it is real", low, high,
			x.Largest.SpeedMS, x.Largest.Year)
	}
	if x.RuleGustMS > x.Gust50MS {
		say("extreme_rule_larger", "the rule of 5 times the yearly mean gives a gust of %.1f m/s, above the %.1f m/s of the record's "+
			"maxima: the class follows the rule", x.RuleGustMS, x.Gust50MS)
	}
	switch {
	case x.Class == "":
		say("extreme_beyond_classes", "a 50-year gust of %.1f m/s with a mean of %.1f m/s is beyond class I of IEC 61400-2: only a machine "+
			"of class S whose maker states so much would do", math.Max(x.Gust50MS, x.RuleGustMS), x.MeanMS)
	case x.Gust50HighMS > x.ClassGustMS:
		safe := "the next stronger class is the safe choice"
		if x.Class == Classes()[0].Name {
			safe = "there is no stronger one, so ask the maker what the machine stands, or take one of class S made for so much"
		}
		say("extreme_band_beyond_class", "class %s of IEC 61400-2 covers gusts of %.1f m/s, but the confidence band of the 50-year gust reaches to "+
			"%.1f m/s: %s", x.Class, x.ClassGustMS, x.Gust50HighMS, safe)
	}
	switch r := x.HeightM / x.MeasuredAtM; {
	case math.IsNaN(r):
		say("extreme_height_unknown", "channel %q has no known height: the extreme wind is that at its sensor", c.Name)
	case r > wideHeights || r < 1/wideHeights:
		say("extreme_height_far", "the gust was carried from %g m to %g m with the exponent %g of open ground; behind trees and houses it "+
			"rises more steeply above them", x.MeasuredAtM, x.HeightM, gustExponent)
	}
}

// warnGaps tells of years in which the strongest storm can be missing.
func (x *Extreme) warnGaps(maxima []Maximum, say func(code, format string, args ...any)) {
	gaps, worst := 0, Maximum{Completeness: 1}
	for _, m := range maxima {
		if m.Completeness < fullYear {
			gaps++
		}
		if m.Completeness < worst.Completeness {
			worst = m
		}
	}
	if gaps > 0 && x.Basis == AnnualBasis {
		say("extreme_gaps", "%d of the %d years lack more than a twentieth of their speeds, %d the most with %.0f %% present: sensors fail "+
			"in storms, so that the strongest may be missing and the true gust be higher", gaps, x.Maxima, worst.Year,
			100*worst.Completeness)
	}
}

// warnStep tells what became of means longer or shorter than 10 minutes.
func (x *Extreme) warnStep(s *resource.Series, say func(code, format string, args ...any)) {
	switch {
	case s.StepS > hour:
		say("extreme_averaging", "the record holds means of %.0f h, which hide gusts: a factor of %.2f to a 3-second gust is a judgement, "+
			"good to a third or so; take an hourly or 10-minute record", float64(s.StepS)/hour, x.GustFactor)
	case s.StepS > tenMinutes:
		say("extreme_averaging", "the record's steps are of %.0f minutes: the largest mean of 10 minutes is taken as %.2f times "+
			"theirs (handbooks have 1.05 to 1.1 for an hour), and the gust as %.2f times; if the values are means of "+
			"10 minutes or less, stored each hour, the gust is that much too high and the largest of the hour was missed",
			float64(s.StepS)/60, x.GustFactor/tenMinuteGust, x.GustFactor)
	case s.StepS < tenMinutes:
		say("extreme_averaging", "the record's steps are of %d s: the gust is taken as %.2f times their mean, less than the %.1f for means "+
			"of 10 minutes", s.StepS, x.GustFactor, tenMinuteGust)
	}
}

// spreadLimit is by how much the estimators may differ before the user is told: twice what textbook data show. Judgement.
const spreadLimit = 0.08

// spread is the least and the largest of the estimates, m/s.
func (x *Extreme) spread() (low, high float64) {
	low, high = math.Inf(1), 0
	for _, e := range x.Estimates {
		low, high = math.Min(low, e.Speed50MS), math.Max(high, e.Speed50MS)
	}
	return low, high
}
