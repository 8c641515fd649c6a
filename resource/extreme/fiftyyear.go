package extreme

import (
	"errors"
	"fmt"
	"math"

	"mastworth/resource"
)

// What an extreme must rest on. Years of whole maxima are what the trade asks for at the least; of storms, Cook 1982 and
// Palutikof et al. 1999 (from memory) say that a few years serve.
const (
	fewestYears      = 7
	fewestStormYears = 4
	fewestStorms     = 20
)

// What Extreme.Basis can be.
const (
	AnnualBasis = "annual maxima"
	StormBasis  = "independent storms"
)

const (
	period        = 50   // years
	bandLevel     = 0.9  // of Estimate's band
	gustExponent  = 0.11 // of the extreme wind's profile, IEC 61400-2 (from memory)
	meanExponent  = 0.2  // of the normal profile, IEC 61400-2
	ruleOfMean    = 5    // reference speed over the yearly mean, IEC 61400-2 (from memory)
	tenMinuteGust = 1.4  // gust of 3 s over the reference speed, IEC 61400-2 (from memory)
)

// Caution goes with every Extreme.
const Caution = "The 50-year gust is an extrapolation from a few years of wind at one place. It helps to choose a machine's class and " +
	"to see danger; it is never a structural verdict. Tower, guys and footing need the wind loads of the local building code and " +
	"somebody who may sign for them. Hills, gaps between houses, thunderstorms and tropical cyclones can bring more."

// The reasons for which FiftyYear refuses.
var (
	ErrTooShort    = errors.New("too short for an extreme wind")
	ErrTypicalYear = errors.New("a typical year is no record of real years, and leaves the strongest storms out")
)

// Options steer FiftyYear. The zero value asks for the wind at the channel's own height.
type Options struct {
	HubHeightM  float64 // to carry the gust to, m above ground; 0 or NaN: the measuring height
	MeasuredAtM float64 // m above ground; 0 or NaN: the channel's height
	// MeanFactor is the yearly mean at the hub over that of the channel, for the rule of thumb and the class; 0 or NaN: by the
	// power law with the exponent 0.20. The gust is not scaled by it: what shelters from the mean need not shelter from a storm.
	MeanFactor float64
	// HillFactor is by how much a hill speeds up a storm's gust between the sensor and the hub, beside what the height does; 0 or NaN:
	// 1. The mean's share of it is in MeanFactor.
	HillFactor float64
}

// Estimate is the wind by one estimator, at the measuring height.
type Estimate struct {
	Gumbel
	Speed50MS     float64 // mean over the record's step that is exceeded once in 50 years on average, m/s
	LowMS, HighMS float64 // of its 90 % confidence band, m/s
}

// Extreme is the strongest wind to be expected.
type Extreme struct {
	HeightM     float64 // of the gusts below, m above ground; NaN where unknown
	MeasuredAtM float64 // of Estimates, m above ground; NaN where unknown
	Basis       string  // AnnualBasis or StormBasis
	Maxima      int     // years or storms
	Years       float64 // complete years, or for storms the time usable speeds cover in years
	Largest     Maximum // of the maxima
	Estimates   []Estimate

	GustFactor       float64 // 3-second gust over the record's mean
	GustMeasured     bool    // GustFactor is that of the record's own gusts
	GustFactorSource string
	HeightFactor     float64 // gust at HeightM over that at MeasuredAtM: (z/z_measured)^0.11
	HillFactor       float64 // what a hill adds to that
	Gust50MS         float64 // 3-second gust exceeded once in 50 years on average, at HeightM, by the largest of Estimates, m/s
	Gust50HighMS     float64 // the same from the upper end of its confidence band, m/s
	MeanMS           float64 // yearly mean at HeightM, m/s
	RuleGustMS       float64 // rule of thumb: 1.4 times 5 times MeanMS, m/s
	Class            string  // of IEC 61400-2, whose gust covers the larger of Gust50MS and RuleGustMS; empty where none does
	ClassGustMS      float64 // NaN where none does, m/s
	Caution          string
	Warnings         []resource.Warning
}

// FiftyYear estimates the gust that is exceeded once in 50 years on average from a speed channel of a record, given by its
// place in s.Channels. It takes yearly maxima where at least 7 calendar years are 80 % complete, else the peaks of independent
// storms where usable speeds cover at least 4 years. The mean is made a gust of 3 s by the record's own gusts in strong wind,
// or else by 1.4 for means of 10 minutes as in IEC 61400-2 and more for longer ones, and is carried to the hub by the exponent
// 0.11. The record should be screened first: one spike is the largest value of its year.
//
// It fails with ErrTooShort, which says what is there and what is needed, ErrTypicalYear, resource.ErrNotSpeed for a channel
// of another quantity, and ErrConstant where all maxima are equal. It panics for a place that is not in s.Channels.
func FiftyYear(s *resource.Series, channel int, o Options) (Extreme, error) {
	c := &s.Channels[channel]
	switch {
	case c.Quantity != resource.Speed:
		return Extreme{}, fmt.Errorf("%w: channel %q holds %s", resource.ErrNotSpeed, c.Name, c.Quantity)
	case s.Kind == resource.TypicalYear:
		return Extreme{}, ErrTypicalYear
	}
	x := Extreme{Caution: Caution}
	maxima, err := x.maxima(s, channel)
	if err != nil {
		return Extreme{}, err
	}
	best, err := x.fit(maxima)
	if err != nil {
		return Extreme{}, fmt.Errorf("channel %q: %w", c.Name, err)
	}
	x.heights(c, o)
	x.gustFactor(s, c)
	x.HillFactor = 1
	if o.HillFactor > 0 {
		x.HillFactor = o.HillFactor
	}
	toHub := x.GustFactor * x.HeightFactor * x.HillFactor
	x.Gust50MS, x.Gust50HighMS = best.Speed50MS*toHub, best.HighMS*toHub
	x.MeanMS = meanOf(s, c) * x.meanFactor(o)
	x.RuleGustMS = tenMinuteGust * ruleOfMean * x.MeanMS
	x.ClassGustMS = math.NaN()
	if class, ok := ClassFor(math.Max(x.Gust50MS, x.RuleGustMS)); ok {
		x.Class, x.ClassGustMS = class.Name, class.GustMS
	}
	x.warn(s, c, maxima)
	return x, nil
}

// maxima chooses what to rest on.
func (x *Extreme) maxima(s *resource.Series, channel int) ([]Maximum, error) {
	annual := AnnualMaxima(s, channel)
	if len(annual) >= fewestYears {
		x.Basis, x.Maxima, x.Years = AnnualBasis, len(annual), float64(len(annual))
		return annual, nil
	}
	storms, perYear := StormMaxima(s, channel, StormOptions{ThresholdMS: math.NaN()})
	years := 0.0
	if len(storms) > 0 {
		years = float64(len(storms)) / perYear
	}
	if years < fewestStormYears*(1-0.01) || len(storms) < fewestStorms { // a leap day more or less
		return nil, fmt.Errorf("%w: usable speeds cover %.1f years with %d storms (calendar years at least %.0f %% complete: %d); needed are "+
			"%d years with %d storms, or better %d complete calendar years. Take a neighbouring station's long record", ErrTooShort,
			years, len(storms), 100*FewestOfYear, len(annual), fewestStormYears, fewestStorms, fewestYears)
	}
	x.Basis, x.Maxima, x.Years = StormBasis, len(storms), years
	return storms, nil
}

// fit fills the estimates and gives the largest.
func (x *Extreme) fit(maxima []Maximum) (best Estimate, err error) {
	speeds := make([]float64, len(maxima))
	for i, m := range maxima {
		speeds[i] = m.SpeedMS
		if m.SpeedMS > x.Largest.SpeedMS {
			x.Largest = m
		}
	}
	for _, e := range Estimators() {
		var g Gumbel
		if x.Basis == AnnualBasis {
			g, err = FitGumbel(speeds, e)
		} else {
			g, err = FitStorms(speeds, float64(len(speeds))/x.Years, e)
		}
		if err != nil {
			return best, err
		}
		found := Estimate{Gumbel: g, Speed50MS: g.Return(period)}
		found.LowMS, found.HighMS = g.Band(period, bandLevel)
		x.Estimates = append(x.Estimates, found)
		if found.Speed50MS > best.Speed50MS {
			best = found
		}
	}
	return best, nil
}

// gustFactor is the record's own, or else that of its step.
func (x *Extreme) gustFactor(s *resource.Series, c *resource.Channel) {
	x.GustFactor, x.GustFactorSource = recordGust(s, c), "the record's gusts in its strongest wind"
	x.GustMeasured = !math.IsNaN(x.GustFactor)
	if x.GustMeasured {
		return
	}
	x.GustFactor, x.GustFactorSource = stepGust(s.StepS), "1.4 for means of 10 minutes, IEC 61400-2 (from memory)"
	if s.StepS != tenMinutes {
		x.GustFactorSource += ", carried to the record's step after Durst 1960 (from memory)"
	}
}

// heights settles the two heights and the step between them.
func (x *Extreme) heights(c *resource.Channel, o Options) {
	x.MeasuredAtM, x.HeightM, x.HeightFactor = o.MeasuredAtM, o.HubHeightM, 1
	if !(x.MeasuredAtM > 0) {
		x.MeasuredAtM = c.HeightM
	}
	if !(x.HeightM > 0) {
		x.HeightM = x.MeasuredAtM
	}
	if x.HeightM > 0 && x.MeasuredAtM > 0 {
		x.HeightFactor = math.Pow(x.HeightM/x.MeasuredAtM, gustExponent)
	}
}

// meanFactor is the mean at the hub over that at the measuring height.
func (x *Extreme) meanFactor(o Options) float64 {
	switch {
	case o.MeanFactor > 0:
		return o.MeanFactor
	case x.HeightM > 0 && x.MeasuredAtM > 0:
		return math.Pow(x.HeightM/x.MeasuredAtM, meanExponent)
	}
	return 1
}

// meanOf is the plain mean of the usable speeds, m/s.
func meanOf(s *resource.Series, c *resource.Channel) float64 {
	sum, n := 0.0, 0
	for i, v := range c.Values {
		if usable(c, i) {
			sum += v
			n++
		}
	}
	return sum / float64(n)
}
