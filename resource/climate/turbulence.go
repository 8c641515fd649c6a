package climate

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// Turbulence is the turbulence intensity by speed: the standard deviation of speed within a step over the step's mean.
// The standards define it for steps of 10 minutes; Climate.Warnings says where the record's are others. The standard
// deviation is that of the nearest channel at the height of the speed channel (within 5 % of it, at least 1 m).
type Turbulence struct {
	Channel string     // of the standard deviation
	HeightM float64    // of that channel, m; NaN where unknown
	StepS   int64      // the record's step, s
	N       int        // steps counted
	Slow    int        // steps below 0.5 m/s, where the ratio means nothing: not counted
	Odd     int        // steps whose standard deviation is negative or infinite: not counted
	Bins    []RatioBin // of 1 m/s, centred on whole m/s from 1 on
	Above5  RatioBin   // all steps of 5 m/s and more
	At15    RatioBin   // the bin from 14.5 to 15.5 m/s, on which the standards' classes rest; N is 0 where it is empty
	// Implied15 is the representative intensity at 15 m/s: that of At15 where it holds at least 20 steps; else that of the
	// fastest bin from 5 m/s on that does, carried to 15 m/s by the normal turbulence model of small turbines,
	// σ = I15·(15 + 2·V)/3 (IEC 61400-2, from memory). NaN where no bin does.
	Implied15       float64
	Implied15FromMS float64 // the middle of the bin it rests on, m/s; NaN where there is none
}

const (
	classSpeed    = 15   // m/s
	ratioFrom     = 5    // m/s: slower, calm-weather eddies and sensors' resolution make the ratio
	fewestOfBin   = 20   // steps for a bin to be leaned on; judgement
	designI15     = 0.18 // IEC 61400-2, characteristic turbulence intensity at 15 m/s, from memory
	standardStepS = 600
)

func turbulence(s *resource.Series, g *gathered) (*Turbulence, string) {
	r := &g.deviations
	if r.channel == nil {
		return nil, "The record has no standard deviation of speed at this height; let the logger store it with each mean."
	}
	if len(r.values) == 0 {
		return nil, fmt.Sprintf("Channel %q has no usable standard deviation beside a speed of %g m/s or more.", r.channel.Name, firstSpeed)
	}
	t := &Turbulence{
		Channel: r.channel.Name, HeightM: r.channel.HeightM, StepS: s.StepS,
		N: len(r.values), Slow: r.slow, Odd: r.odd,
		At15: ratioBin(nil, 0, classSpeed-0.5, classSpeed+0.5), Implied15: math.NaN(), Implied15FromMS: math.NaN(),
	}
	t.Bins, t.Above5 = r.bins()
	if i := classSpeed - 1; i < len(t.Bins) {
		t.At15 = t.Bins[i]
	}
	for i := min(classSpeed, len(t.Bins)) - 1; i >= ratioFrom-1; i-- {
		if b := &t.Bins[i]; b.N >= fewestOfBin {
			t.Implied15FromMS = float64(i + 1)
			t.Implied15 = b.Representative / smallTurbineModel(t.Implied15FromMS)
			break
		}
	}
	return t, ""
}

// smallTurbineModel is the turbulence intensity at a speed, m/s, over that at 15 m/s: σ/(V·I15) = (15/V + 2)/3.
func smallTurbineModel(v float64) float64 { return (classSpeed/v + 2) / 3 }

// Gusts is the gust factor by speed: the highest speed within a step over the step's mean. How long a gust lasts is the
// logger's choice, mostly 1 to 3 s; the factor grows with the step and falls with the gust's length. The channel is
// chosen as for Turbulence.
type Gusts struct {
	Channel string     // of the gusts
	HeightM float64    // of that channel, m; NaN where unknown
	StepS   int64      // the record's step, s
	N       int        // steps counted
	Slow    int        // steps below 0.5 m/s: not counted
	Odd     int        // steps whose gust is below their mean, or infinite: not counted
	Bins    []RatioBin // of 1 m/s, centred on whole m/s from 1 on
	Above5  RatioBin   // all steps of 5 m/s and more
}

func gusts(s *resource.Series, g *gathered) (*Gusts, string) {
	r := &g.gusts
	if r.channel == nil {
		return nil, "The record has no gusts at this height; let the logger store the highest speed of each step."
	}
	if len(r.values) == 0 {
		return nil, fmt.Sprintf("Channel %q has no usable gust beside a speed of %g m/s or more.", r.channel.Name, firstSpeed)
	}
	q := &Gusts{
		Channel: r.channel.Name, HeightM: r.channel.HeightM, StepS: s.StepS,
		N: len(r.values), Slow: r.slow, Odd: r.odd,
	}
	q.Bins, q.Above5 = r.bins()
	return q, ""
}
