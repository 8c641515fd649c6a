package longterm

import (
	"errors"
	"fmt"

	"mastworth/resource"
)

// Method is the form of the relation between the speeds of reference, x, and target, y, over the time both have. Means
// and standard deviations, s, are of the averaged pairs.
type Method string

// The methods (Rogers et al. 2005, from memory).
const (
	// VarianceRatio is y = ȳ + (s_y/s_x)·(x − x̄). It keeps mean and spread over the time both have. The default, since
	// energy rests on the spread as well.
	VarianceRatio Method = "variance_ratio"
	// LeastSquares is y = ȳ + r·(s_y/s_x)·(x − x̄). Its spread is too small by the factor r, and so is the energy.
	LeastSquares Method = "least_squares"
	// SpeedRatio is y = (ȳ/x̄)·x. It keeps the mean alone, and calms as calms.
	SpeedRatio Method = "speed_ratio"
)

// SectorCount is the number of direction sectors of the reference that Options.Sectors fits by.
const SectorCount = 12

// DefaultMaxShiftS is a fair bound of the search for a shift between two clocks, s: it finds most stamps that were not
// put down in the time zone they claim.
const DefaultMaxShiftS = 6 * 3600

// The limits of r². Judgement: at 0.3 the relation takes no more than a sixth off the scatter of a single year's mean,
// 1 − √(1 − 0.3), which is hardly worth the trust it asks for; at 0.6 it takes off a third.
const (
	DefaultLeastR2 = 0.3 // below it Predict refuses, unless Options.LeastR2 says otherwise
	weakR2         = 0.6 // below it Predict warns
)

// Options steer Predict. The zero value is the variance ratio over all directions together, the clocks as they are.
type Options struct {
	Method  Method // empty: VarianceRatio
	Sectors bool   // fit by 12 sectors of the reference's direction where they hold enough pairs
	// MaxShiftS is how far the reference's clock may be moved either way to match best, s; 0: not at all.
	MaxShiftS int64
	// AverageS is what both are averaged over before they are compared, s. It is raised to a whole number of the coarser
	// of the two steps; 0: that step, and at least an hour.
	AverageS int64
	LeastR2  float64 // refuse a weaker correlation of the averaged pairs, from 0 to below 1; 0: DefaultLeastR2
}

// Fit is the line y = Intercept + Slope·x of one sector, or of all. Ratio, R and R2 are of the sector's own pairs.
type Fit struct {
	Sector    int     // of 12, 0 centred on north; −1 for all directions together
	N         int     // pairs
	Slope     float64 // of what is applied
	Intercept float64 // of what is applied, m/s
	R, R2     float64 // correlation and its square; NaN where one of the two does not vary
	Ratio     float64 // of the two mean speeds; NaN without pairs
	Source    string  // "own", or "all" where the line of all directions stands in for too few pairs or none that rise together
}

// Concurrent is what was measured over the time that both records have: means of the averaged pairs.
type Concurrent struct {
	TargetMeanMS, ReferenceMeanMS float64 // m/s
	TargetMeanCube                float64 // of the target's averaged speeds, m³/s³
	PredictedMeanCube             float64 // of the same pairs as predicted; lower where a method loses spread, m³/s³
}

// LongTerm is the reference's whole time.
type LongTerm struct {
	ReferenceMeanMS   float64 // mean of all usable speeds of the reference, m/s
	PredictedMeanMS   float64 // mean of the hindcast, m/s
	PredictedMeanCube float64 // mean of its cubes, m³/s³
	// Windiness is the reference's mean over the time both have by its mean over all its time: above 1, the measured
	// time was windier than the long run.
	Windiness float64
	Years     float64 // time covered by the reference's usable speeds, years
}

// LeaveOut says how well calendar months are predicted from the others of the record. Errors are relative, predicted
// over measured less 1; NaN where the record has fewer than three months with at least ten days of pairs each.
type LeaveOut struct {
	Months                     int
	MeanErrorRMS, CubeErrorRMS float64 // root mean square of the errors of the months' mean speed and mean cube
	MeanBias, CubeBias         float64 // mean of the same errors
}

// Result is a prediction and how far it may be trusted.
type Result struct {
	// Series is the hindcast: the target's speeds as they would have been over the time of the reference, at its step and
	// on its stamps; see Predict.
	Series *resource.Series

	Method           Method
	ReferenceChannel string
	Fits             []Fit // of all directions first, then the 12 sectors where these were asked for and are known
	ConcurrentN      int   // averaged pairs
	// The time both have, from the beginning of the first pair to the end of the last, Unix s by the target's clock.
	ConcurrentFromUnix, ConcurrentToUnix int64
	AverageS                             int64   // what both were averaged over, s
	ShiftS                               int64   // what was added to the reference's clock to match the target's, s
	R, R2                                float64 // of all averaged pairs

	Concurrent Concurrent
	LongTerm   LongTerm
	LeaveOut   LeaveOut
	// StandardUncertainty is the relative standard uncertainty of the long-run mean speed that the prediction gives; see
	// Uncertainty. It holds what the record and the reference leave open, not the sensors' own errors.
	StandardUncertainty float64
	Uncertainty         Uncertainty
	Clipped             int // hindcast speeds that came out below zero and were set to zero
	Warnings            []resource.Warning
}

// The reasons to refuse. They come wrapped in words that name the two records' periods or numbers, and the remedy.
var (
	ErrMethod          = errors.New("unknown method")
	ErrOptions         = errors.New("option out of range")
	ErrTypicalYear     = errors.New("a typical year has no calendar")
	ErrNoOverlap       = errors.New("record and reference never overlap")
	ErrReferenceShort  = errors.New("the reference is shorter than the record")
	ErrTooFew          = errors.New("too little time in common")
	ErrPoorCorrelation = errors.New("record and reference hardly go together")
)

// Predict predicts a speed channel of the target, given by its place in target.Channels, over the whole time of the
// reference, from the reference's speed channel refChannel. Both are averaged over the same intervals; one counts where
// at least three quarters of its steps have usable speeds in both records.
//
// The hindcast has the reference's stamps and step. Its speed channel bears the target's name and height; where the
// reference is missing or flagged it is NaN, and speeds predicted below zero are set to zero and counted. The
// reference's direction comes along, turned in each sector by the mean turn between the two where the target has a
// direction too, and so do its temperature, pressure, humidity and irradiance, as they are. The place is the target's.
// The offset from UTC is the target's plus ShiftS, so that months and hours are those of the target's clock.
// It is a prediction throughout, also where the target was measured.
//
// Predict fails with resource.ErrNotSpeed for a channel of another quantity and with the errors of this package, and
// panics for a place that is not in the Channels.
func Predict(target *resource.Series, channel int, reference *resource.Series, refChannel int, o Options) (Result, error) {
	_, results, err := PredictAll(target, []int{channel}, reference, refChannel, o)
	if err != nil {
		return Result{}, err
	}
	return results[0], nil
}

// PredictAll is Predict for several speed channels of one target. The hindcast holds them all, and every Result points
// to it, so that the profile between heights stays that of the record. The shift between the clocks is found with the
// first channel and used for all, and so are the turns of direction. It fails where one of the channels does, which the
// error names. It panics for no channels.
func PredictAll(target *resource.Series, channels []int, reference *resource.Series, refChannel int, o Options) (*resource.Series, []Result, error) {
	if len(channels) == 0 {
		panic("longterm: there must be at least one channel")
	}
	if err := o.complete(); err != nil {
		return nil, nil, err
	}
	m := newMatch(target, reference, refChannel, o)
	results := make([]Result, len(channels))
	fitted := make([]lines, len(channels))
	for i, channel := range channels {
		p, err := m.pair(channel, i == 0)
		if err == nil {
			results[i], fitted[i], err = m.relate(p)
		}
		if err != nil {
			return nil, nil, fmt.Errorf("channel %q: %w", target.Channels[channel].Name, err)
		}
		if i == 0 {
			m.veer(p)
		}
	}
	series := m.hindcast(channels, results, fitted)
	for i := range results {
		results[i].finish(m, series, i)
	}
	return series, results, nil
}

// complete fills what is left open and checks the rest.
func (o *Options) complete() error {
	switch o.Method {
	case "":
		o.Method = VarianceRatio
	case VarianceRatio, LeastSquares, SpeedRatio:
	default:
		return fmt.Errorf("%w %q: take %s, %s or %s", ErrMethod, o.Method, VarianceRatio, LeastSquares, SpeedRatio)
	}
	if o.LeastR2 == 0 {
		o.LeastR2 = DefaultLeastR2
	}
	switch {
	case !(o.LeastR2 >= 0 && o.LeastR2 < 1):
		return fmt.Errorf("%w: the least r² must be from 0 to below 1, not %g", ErrOptions, o.LeastR2)
	case o.MaxShiftS < 0 || o.MaxShiftS > mostShiftS:
		return fmt.Errorf("%w: the shift of the clocks must be from 0 to %d s, not %d s", ErrOptions, int64(mostShiftS), o.MaxShiftS)
	case o.AverageS < 0 || o.AverageS > mostAverageS:
		return fmt.Errorf("%w: averages must be over 0 to %d s, not %d s", ErrOptions, int64(mostAverageS), o.AverageS)
	}
	return nil
}
