package harvest

import (
	"fmt"
	"math"
	"time"

	"mastworth/resource"
)

// Period is an interval beside what was promised for it.
type Period struct {
	Interval
	PromisedKWh  float64
	Windiness    float64 // modelled over usual energy; NaN: not known
	CoveredShare float64 // of the interval, by the record
	CorrectedKWh float64 // the promise for the wind there was; NaN: not known
	LeftOut      string  // why it does not count; empty: it counts
}

// Total is what the meter read over what was expected of the same time.
type Total struct {
	Days                     float64
	MeasuredKWh, ExpectedKWh float64
	Ratio                    float64 // NaN where nothing was expected
	Standard                 float64 // relative standard uncertainty of what was expected and read, together
	Parts                    []Part  // what it is made of
}

// Part is one relative standard uncertainty.
type Part struct {
	Name     string // "estimate", "power_curve", "wind_of_the_time", "season", "meter"
	Standard float64
}

// Answer says what the meter says of the estimate and its curve.
type Answer string

// The answers.
const (
	TooEarly Answer = "too_early"
	Below    Answer = "below"
	Within   Answer = "within"
	Above    Answer = "above"
)

// FewestDays is how many days must have been read before anything is said of the curve. Judgement: in two months some twenty weather
// systems pass in temperate latitudes.
const FewestDays = 60

// coverage is the standard uncertainties that a difference must exceed to be more than chance: for some 95 % of a normal
// distribution (JCGM 100:2008, 6.3.3).
const coverage = 2

// leastCovered is the part of an interval that a record must cover to correct for it. Judgement.
const leastCovered = 0.8

// overRating is how far an energy may exceed the curve's highest power all the time before it is taken for a mistake: thin, cold air and a
// curve of means allow some. Judgement.
const overRating = 1.25

// Options say what is known besides the readings.
type Options struct {
	Promise  Promise
	Wind     *Windiness // nil: no record covers the time
	MaxW     float64    // the curve's highest power, W; NaN: not known
	Doubts   Doubts
	Measured bool // the record's sensors stand at the mast's own place
}

// Comparison is the harvest beside the promise.
type Comparison struct {
	Periods   []Period // by rising time
	Months    []Period // the same by calendar month, of the middles of the periods
	Promised  Total    // against the plain promise
	Corrected Total    // against the promise for the wind there was, of the periods where that is known
	Answer    Answer
	ByWind    bool // the answer comes from Corrected, else from Promised
	// The curve's level by what the meter and the estimate say together, and its relative standard uncertainty; NaN where it is too early.
	CurveFactor, CurveStandard float64
	Warnings                   []resource.Warning
}

// Compare holds readings against a promise.
func Compare(readings []Reading, o Options) Comparison {
	intervals, warnings := Intervals(readings, o.Promise.UTCOffsetS)
	c := Comparison{Warnings: warnings, CurveFactor: math.NaN(), CurveStandard: math.NaN(), Answer: TooEarly}
	notes := gathering{offset: o.Promise.UTCOffsetS, seen: map[string]int{}}
	for _, i := range intervals {
		c.Periods = append(c.Periods, o.period(i, &notes))
	}
	c.Warnings = append(c.Warnings, notes.told()...)
	c.sum(&o)
	c.Months = byMonth(c.Periods, o.Promise.UTCOffsetS)
	c.judge(&o)
	return c
}

// period holds one interval against the promise.
func (o *Options) period(i Interval, notes *gathering) Period {
	p := Period{Interval: i, PromisedKWh: o.Promise.Over(i.FromUnix, i.ToUnix), Windiness: math.NaN(), CorrectedKWh: math.NaN()}
	if o.Wind != nil {
		p.Windiness, p.CoveredShare = o.Wind.Over(i.FromUnix, i.ToUnix)
		if p.CoveredShare >= leastCovered {
			p.CorrectedKWh = p.PromisedKWh * p.Windiness
		}
	}
	if most := overRating * o.MaxW * 24 * i.Days() / 1000; o.MaxW > 0 && i.KWh > most {
		p.LeftOut = "more_than_possible"
		notes.warn(p.LeftOut, "%s kWh from %s to %s are more than the machine's %.0f W could make in %.3g days: they are left out; look for a mistyped figure, "+
			"or Wh for kWh", kwh(i.KWh), notes.at(i.FromUnix), notes.at(i.ToUnix), o.MaxW, i.Days())
	}
	return p
}

// sum adds up what counts.
func (c *Comparison) sum(o *Options) {
	known := 0.0 // days, weighed by what the record covers of them
	for i := range c.Periods {
		p := &c.Periods[i]
		if p.LeftOut != "" {
			continue
		}
		c.Promised.add(p.Days(), p.KWh, p.PromisedKWh)
		if p.CorrectedKWh == p.CorrectedKWh {
			c.Corrected.add(p.Days(), p.KWh, p.CorrectedKWh)
			known += p.Days() * p.CoveredShare
		}
	}
	c.Promised.finish(o.Doubts.promised(c.Promised.Days, o.Promise.MonthKWh != nil))
	lacking := 0
	if o.Wind != nil && o.Promise.MonthKWh == nil {
		lacking = o.Wind.Lacking()
	}
	c.Corrected.finish(o.Doubts.corrected(c.Corrected.Days, known, o.Measured, lacking))
}

func (t *Total) add(days, measured, expected float64) {
	t.Days += days
	t.MeasuredKWh += measured
	t.ExpectedKWh += expected
}

func (t *Total) finish(parts []Part) {
	t.Parts = parts
	sum := 0.0
	for _, p := range parts {
		sum += p.Standard * p.Standard
	}
	t.Ratio, t.Standard = math.NaN(), math.Sqrt(sum)
	if t.ExpectedKWh > 0 {
		t.Ratio = t.MeasuredKWh / t.ExpectedKWh
	}
	if t.Days == 0 {
		t.Standard = math.NaN()
	}
}

// judge says what it comes to.
func (c *Comparison) judge(o *Options) {
	t := &c.Promised
	if c.Corrected.Days >= FewestDays && !(c.Promised.Standard < c.Corrected.Standard) { // three plain years tell more than two corrected months
		c.ByWind, t = true, &c.Corrected
	}
	if t.Days < FewestDays || t.Ratio != t.Ratio {
		return
	}
	switch c.Answer = Within; {
	case t.Ratio < 1-coverage*t.Standard:
		c.Answer = Below
	case t.Ratio > 1+coverage*t.Standard:
		c.Answer = Above
	}
	// Two normal estimates of one quantity, weighed by their precisions (JCGM 100:2008, 5.1; conjugate normal): the curve as it is, 1 ± u,
	// and the curve as the meter has it, the ratio with every other doubt.
	curve := o.Doubts.PowerCurve
	rest := math.Sqrt(math.Max(0, t.Standard*t.Standard-curve*curve))
	weight := 0.0
	if curve > 0 {
		weight = curve * curve / (curve*curve + rest*rest)
	}
	c.CurveFactor = 1 + (t.Ratio-1)*weight
	c.CurveStandard = curve * math.Sqrt(1-weight)
}

// byMonth gathers periods by the month their middle is in. A month is corrected where all of it is.
func byMonth(periods []Period, offset int64) []Period {
	var out []Period
	var days []float64 // that are read, gaps apart
	last := ""
	for i := range periods {
		p := &periods[i]
		if p.LeftOut != "" {
			continue
		}
		name := MonthName(p, offset)
		if name != last {
			last = name
			first := *p
			first.CoveredShare *= first.Days()
			out, days = append(out, first), append(days, first.Days())
			continue
		}
		m := &out[len(out)-1]
		days[len(days)-1] += p.Days()
		m.ToUnix = p.ToUnix
		m.KWh += p.KWh
		m.PromisedKWh += p.PromisedKWh
		m.CorrectedKWh += p.CorrectedKWh
		m.CoveredShare += p.CoveredShare * p.Days()
	}
	for i := range out {
		m := &out[i]
		m.CoveredShare /= days[i]
		m.Windiness = m.CorrectedKWh / m.PromisedKWh
	}
	return out
}

// MonthName is the calendar month in which a period has its middle, as 2006-01.
func MonthName(p *Period, utcOffsetS int64) string {
	return time.Unix(p.FromUnix+(p.ToUnix-p.FromUnix)/2+utcOffsetS, 0).UTC().Format("2006-01")
}

// vague is the standard uncertainty from which a ratio within it says next to nothing. Judgement.
const vague = 0.25

// Vague reports whether the answer is "within" for no better reason than that the doubts are large.
func (c *Comparison) Vague() bool {
	t := &c.Promised
	if c.ByWind {
		t = &c.Corrected
	}
	return c.Answer == Within && t.Standard >= vague
}

// Allowed are the ratios between which chance and the estimate's own doubts explain a difference.
func (t *Total) Allowed() (low, high float64) {
	return math.Max(0, 1-coverage*t.Standard), 1 + coverage*t.Standard
}

// Words say in a sentence or two what the comparison says of the estimate and its curve.
func (c *Comparison) Words() string {
	t, of := &c.Promised, "of what the estimate promises for the time"
	if c.ByWind {
		t, of = &c.Corrected, "of what the estimate promises for the wind there was"
	}
	if c.Answer == TooEarly {
		if t.Days >= FewestDays {
			return "The estimate promises nothing for this time, so there is nothing to hold the meter against."
		}
		return fmt.Sprintf("Too early to say: %.0f days are read, and at least %d are needed.", c.Promised.Days, FewestDays)
	}
	low, high := t.Allowed()
	head := fmt.Sprintf("In %.0f days the meter read %.0f %% %s. Chance and the estimate's own doubts allow from %.0f to %.0f %% (two standard uncertainties).",
		t.Days, 100*t.Ratio, of, 100*low, 100*high)
	switch c.Answer {
	case Below:
		return head + " It is less than that: the curve promises more than the machine makes, or something keeps wind or energy from it. Look for time out of " +
			"order, early furling, trees and houses, and losses in wire and converter before blaming the curve."
	case Above:
		return head + " It is more than that: the curve promises less than the machine makes, or the wind at the hub is better than estimated. Check that the meter " +
			"counts this machine alone."
	}
	if c.Vague() {
		return head + " That is so much that the meter says next to nothing of the curve: a record of the wind at the mast would help most."
	}
	return head + " Nothing speaks against the curve."
}
