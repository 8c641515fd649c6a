package drive

import (
	"cmp"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"sync"

	"mastworth/resource"
	"mastworth/yield"
)

// MaxCombinations bounds a sweep.
const MaxCombinations = 10000

// Sweep says what to try on a machine: each gear with each winding at each battery voltage. An empty list keeps the machine's
// own. Windings are given as ratios of turns or as constants, not both. Gear efficiency and drags stay as they are.
type Sweep struct {
	GearRatios        []float64 // generator turns for one turn of the rotor
	TurnsRatios       []float64 // see Generator.Rewound
	ConstantsVsPerRad []float64 // K, reached by winding the machine anew
	BatteryVoltsV     []float64 // for a Battery alone
	AirDensityKgM3    float64   // 0.3 to 2
	WindsMS           []float64 // rising; empty: DefaultWinds
	SingleThreaded    bool      // for callers that already share out their work
	// Stop is asked between combinations whether to give up, from several goroutines; nil: never.
	Stop func() bool
}

// ErrStopped is what Match gives when Sweep.Stop told it to give up.
var ErrStopped = errors.New("the sweep was stopped")

// Candidate is one combination of a sweep.
type Candidate struct {
	GeneratorPerRotor float64
	TurnsRatio        float64
	BatteryVoltsV     float64 // 0 for another load than a battery
	ConstantVsPerRad  float64 // K of the winding tried
	ChargingRPM       float64 // of the rotor
	CutInMS           float64 // from rest, m/s; NaN: never
	PeakW             float64 // highest delivered power at the winds tried
	MeanPowerW        float64 // delivered, in the site's wind
	AnnualKWh         float64 // delivered
	WithinRatingKWh   float64 // the part made at no more than the rated current; the same where no rating is given
	Cause             Cause   // what holds it back most
	Why               string  // the same in plain words, with the numbers
	Lost              Lost    // where the rest of what the rotor could take in this wind goes
	Warnings          []resource.Warning
}

// job is one combination to be worked out, and its place in the order.
type job struct {
	machine Machine
	turns   float64
}

// Match tries every combination of a sweep and gives them the best first, by WithinRatingKWh, equal ones in the order of the
// sweep. meanPower is the mean power in W of a curve in the site's wind; it must be linear in the curve's powers, as every sum over
// the wind's distribution is. It is asked once for each of the winds, which makes the weights that all combinations are scored
// by. progress may be nil; it is told one at a time, in rising order. The error is a *Fault that names the combination's part, that of
// winds or density as in Curve, or ErrStopped.
func Match(m Machine, s Sweep, meanPower func(*yield.Curve) float64, progress func(done, total int)) ([]Candidate, error) {
	if len(s.WindsMS) == 0 {
		s.WindsMS = DefaultWinds()
	}
	jobs, err := s.jobs(m)
	if err != nil {
		return nil, err
	}
	weights, err := Weights(s.AirDensityKgM3, s.WindsMS, meanPower)
	if err != nil {
		return nil, err
	}
	return matchWeighted(m, &s, jobs, weights, progress)
}

// MatchWeighted is Match with the weights that Weights gives for the winds of the sweep, one for each of WindsMS or of
// DefaultWinds; it panics where their number is another.
func MatchWeighted(m Machine, s Sweep, weights []float64, progress func(done, total int)) ([]Candidate, error) {
	if len(s.WindsMS) == 0 {
		s.WindsMS = DefaultWinds()
	}
	if len(weights) != len(s.WindsMS) {
		panic("drive: a match with weights for other winds than its own")
	}
	jobs, err := s.jobs(m)
	if err != nil {
		return nil, err
	}
	return matchWeighted(m, &s, jobs, weights, progress)
}

// matchWeighted shares the work out over the processors.
func matchWeighted(m Machine, s *Sweep, jobs []job, weights []float64, progress func(done, total int)) ([]Candidate, error) {
	facts := study(m.Aero)
	out := make([]Candidate, len(jobs))
	var (
		stopped bool
		wg      sync.WaitGroup
		mu      sync.Mutex
		next    int
		done    int
	)
	take := func() (int, bool) {
		stop := s.Stop != nil && s.Stop()
		mu.Lock()
		defer mu.Unlock()
		stopped = stopped || stop
		next++
		return next - 1, next <= len(jobs) && !stopped
	}
	work := func() {
		for i, more := take(); more; i, more = take() {
			out[i] = try(jobs[i], facts, s, weights)
			mu.Lock()
			done++
			if progress != nil {
				progress(done, len(jobs))
			}
			mu.Unlock()
		}
	}
	workers := min(runtime.GOMAXPROCS(0), len(jobs))
	if s.SingleThreaded {
		workers = 1
	}
	for range workers {
		wg.Go(work)
	}
	wg.Wait()
	if stopped {
		return nil, ErrStopped
	}
	slices.SortStableFunc(out, func(a, b Candidate) int { return cmp.Compare(b.WithinRatingKWh, a.WithinRatingKWh) })
	return out, nil
}

// jobs lists the combinations, gears outermost, and refuses the first that cannot be.
func (s *Sweep) jobs(m Machine) ([]job, error) {
	if err := m.Validate(); err != nil {
		return nil, err
	}
	if err := checkWinds(s.AirDensityKgM3, s.WindsMS); err != nil {
		return nil, err
	}
	battery, hasBattery := m.Load.(Battery)
	if len(s.BatteryVoltsV) > 0 && !hasBattery {
		return nil, &Fault{"sweep.battery_volts_v", "the machine has another load than a battery; leave the voltages out, or give it one"}
	}
	if len(s.ConstantsVsPerRad) > 0 && len(s.TurnsRatios) > 0 {
		return nil, &Fault{"sweep.turns_ratio", "windings are given twice, as ratios of turns and as constants; leave one out"}
	}
	gears, volts := orOwn(s.GearRatios, m.Gear.GeneratorPerRotor), orOwn(s.BatteryVoltsV, battery.VoltsV)
	windings := orOwn(s.TurnsRatios, 1)
	if len(s.ConstantsVsPerRad) > 0 {
		windings = make([]float64, len(s.ConstantsVsPerRad))
		for i, k := range s.ConstantsVsPerRad {
			windings[i] = k / m.Generator.ConstantVsPerRad
		}
	}
	if n := len(gears) * len(windings) * len(volts); n > MaxCombinations {
		return nil, &Fault{"sweep", fmt.Sprintf("%d combinations are more than %d; try fewer of each", n, MaxCombinations)}
	}
	for _, w := range windings {
		if !(w >= 0.01 && w <= 100) {
			return nil, &Fault{"sweep.turns_ratio", fmt.Sprintf("turns can be multiplied by 0.01 to 100, not by %g", w)}
		}
	}
	var out []job
	for _, g := range gears {
		for _, w := range windings {
			for _, v := range volts {
				try := m
				try.Gear.GeneratorPerRotor = g
				try.Generator = m.Generator.Rewound(w)
				if hasBattery {
					b := battery
					b.VoltsV = v
					try.Load = b
				}
				if f := try.check(); f != nil {
					return nil, fmt.Errorf("sweep, gear %g, turns × %g, battery %g V: %w", g, w, v, f)
				}
				out = append(out, job{try, w})
			}
		}
	}
	return out, nil
}

func orOwn(list []float64, own float64) []float64 {
	if len(list) == 0 {
		return []float64{own}
	}
	return list
}

// try works one combination out.
func try(j job, facts *rotorFacts, s *Sweep, weights []float64) Candidate {
	t := prepare(j.machine, facts, s.AirDensityKgM3)
	r := Result{Points: t.points(s.WindsMS), BestLambda: facts.best, BestCp: facts.bestCp, FurlMS: t.furlStart}
	r.StartWindMS = t.startWind()
	r.CutInMS, r.StopMS = t.chargingFrom(fromRest), t.chargingFrom(fromAbove)
	r.BrakeFailMS = t.brakeFails(fromRest)
	r.Overspeed = t.overspeed()
	c := Candidate{
		GeneratorPerRotor: j.machine.Gear.GeneratorPerRotor, TurnsRatio: j.turns,
		ConstantVsPerRad: j.machine.Generator.ConstantVsPerRad, ChargingRPM: j.machine.ChargingRPM(),
		CutInMS: r.CutInMS, Warnings: t.cautions(&r),
	}
	for i := range r.Points {
		c.PeakW = max(c.PeakW, r.Points[i].DeliveredW)
		c.MeanPowerW += weights[i] * max(0, r.Points[i].DeliveredW)
	}
	if b, ok := j.machine.Load.(Battery); ok {
		c.BatteryVoltsV = b.VoltsV
	}
	c.AnnualKWh = yield.AnnualKWh(c.MeanPowerW)
	c.WithinRatingKWh = c.AnnualKWh - yield.AnnualKWh(t.overRating(r.Points, weights))
	c.Lost = t.lost(r.Points, weights)
	c.Cause, c.Why = t.why(&c, &r)
	return c
}

// overRating is the mean power made at more than the rated current.
func (t *train) overRating(points []Point, weights []float64) float64 {
	sum := 0.0
	if rated := t.machine.Generator.RatedCurrentA; rated > 0 {
		for i := range points {
			if points[i].CurrentA > rated {
				sum += weights[i] * points[i].DeliveredW
			}
		}
	}
	return sum
}
