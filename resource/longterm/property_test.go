package longterm_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"mastworth/resource"
	"mastworth/resource/longterm"
)

// weather is a reference of some days at a step, and a target that follows it with a lag of its own: speeds and
// directions wander; a few are missing. Directions keep clear of the borders of sectors.
func weather(seed uint64, days int, refStep, targetStep int64, from, to int) (target, reference *resource.Series) {
	rng := rand.New(rand.NewPCG(seed, 7))
	const start = 1546300800 // 2019-01-01
	reference = &resource.Series{StepS: refStep, Channels: []resource.Channel{
		{Name: "reference speed", Quantity: resource.Speed, HeightM: 50},
		{Name: "reference direction", Quantity: resource.Direction, HeightM: 50},
		{Name: "reference air", Quantity: resource.Temperature, HeightM: 2},
	}}
	target = &resource.Series{StepS: targetStep, UTCOffsetS: 3600, Channels: []resource.Channel{
		{Name: "vane", Quantity: resource.Direction, HeightM: 9},
		{Name: "low cup", Quantity: resource.Speed, HeightM: 10},
		{Name: "high cup", Quantity: resource.Speed, HeightM: 20},
	}}
	fine := min(refStep, targetStep)
	wander, turn := 0.0, 100.0
	speeds, directions := make([]float64, int64(days)*86400/fine), make([]float64, int64(days)*86400/fine)
	for i := range speeds {
		wander = 0.97*wander + 0.6*rng.NormFloat64()
		turn += 6 * rng.NormFloat64()
		speeds[i] = math.Abs(6 + wander)
		directions[i] = math.Mod(math.Mod(turn, 360)+360, 360)
	}
	mean := func(values []float64, from, n int64) float64 {
		sum := 0.0
		for _, v := range values[from : from+n] {
			sum += v
		}
		return sum / float64(n)
	}
	for t := int64(0); t < int64(days)*86400; t += refStep {
		reference.Times = append(reference.Times, start+t)
		v := mean(speeds, t/fine, refStep/fine)
		if rng.IntN(50) == 0 {
			v = math.NaN()
		}
		for k, v := range []float64{v, clear(directions[t/fine]), 10 + rng.NormFloat64()} {
			reference.Channels[k].Values = append(reference.Channels[k].Values, v)
		}
	}
	for t := int64(from) * 86400; t < int64(to)*86400; t += targetStep {
		target.Times = append(target.Times, start+t)
		v := mean(speeds, t/fine, targetStep/fine)*(0.6+0.1*math.Cos(directions[t/fine]*math.Pi/180)) + 0.3*rng.NormFloat64()
		v = math.Max(0, v)
		for k, v := range []float64{clear(math.Mod(directions[t/fine]+12, 360)), v, 1.15 * v} {
			target.Channels[k].Values = append(target.Channels[k].Values, v)
		}
	}
	return target, reference
}

// clear moves a direction into the inner 28 degrees of its sector.
func clear(deg float64) float64 {
	in := math.Mod(deg+15, 30)
	return math.Mod(deg-in+1+in*28/30+360, 360)
}

func predict(t interface {
	Helper()
	Fatal(...any)
}, target *resource.Series, channel int, reference *resource.Series, refChannel int, o longterm.Options) longterm.Result {
	t.Helper()
	r, err := longterm.Predict(target, channel, reference, refChannel, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// changed is a record with one channel's values put through a function.
func changed(s *resource.Series, channel int, f func(float64) float64) *resource.Series {
	out := *s
	out.Channels = slices.Clone(s.Channels)
	values := slices.Clone(s.Channels[channel].Values)
	for i, v := range values {
		values[i] = f(v)
	}
	out.Channels[channel].Values = values
	return &out
}

func sameValues(t testing.TB, name string, got, want []float64, tol float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d values, want %d", name, len(got), len(want))
	}
	for i := range got {
		if math.IsNaN(got[i]) != math.IsNaN(want[i]) || math.Abs(got[i]-want[i]) > tol*math.Abs(want[i]) {
			t.Fatalf("%s: value %d is %.15g, want %.15g", name, i, got[i], want[i])
		}
	}
}

// TestItself predicts a record from itself: the line is y = x, and the hindcast is the record.
func TestItself(t *testing.T) {
	_, s := weather(3, 100, 3600, 3600, 0, 100)
	for _, method := range methods {
		for _, sectors := range []bool{false, true} {
			r := predict(t, s, 0, s, 0, longterm.Options{Method: method, Sectors: sectors, MaxShiftS: longterm.DefaultMaxShiftS})
			if r.ShiftS != 0 || r.Clipped != 0 {
				t.Errorf("%s: shifted by %d s, %d clipped", method, r.ShiftS, r.Clipped)
			}
			near(t, "r", r.R, 1, 1e-12)
			near(t, "leave-out", r.LeaveOut.MeanErrorRMS, 0, 1e-12)
			sameValues(t, string(method), r.Series.Channels[0].Values, s.Channels[0].Values, 1e-12)
			sameValues(t, "direction", r.Series.Channels[1].Values, s.Channels[1].Values, 1e-12)
			sameValues(t, "temperature", r.Series.Channels[2].Values, s.Channels[2].Values, 0)
		}
	}
}

// TestUnits: a record in other units is predicted in those units.
func TestUnits(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		target, reference := weather(rapid.Uint64().Draw(rt, "seed"), 120, 3600, 3600, 20, 90)
		f := rapid.Float64Range(0.1, 10).Draw(rt, "target's unit")
		g := rapid.Float64Range(0.1, 10).Draw(rt, "reference's unit")
		o := longterm.Options{Method: rapid.SampledFrom(methods).Draw(rt, "method"), Sectors: rapid.Bool().Draw(rt, "sectors"), MaxShiftS: 7200}
		a := predict(rt, target, 1, reference, 0, o)
		b := predict(rt, changed(target, 1, func(v float64) float64 { return f * v }), 1, changed(reference, 0, func(v float64) float64 { return g * v }), 0, o)
		near(t, "r²", b.R2, a.R2, 1e-9)
		near(t, "mean", b.LongTerm.PredictedMeanMS, f*a.LongTerm.PredictedMeanMS, -1e-9)
		near(t, "cube", b.LongTerm.PredictedMeanCube, f*f*f*a.LongTerm.PredictedMeanCube, -1e-9)
		near(t, "windiness", b.LongTerm.Windiness, a.LongTerm.Windiness, -1e-9)
		near(t, "leave-out", b.LeaveOut.MeanErrorRMS, a.LeaveOut.MeanErrorRMS, -1e-8)
		near(t, "uncertainty", b.StandardUncertainty, a.StandardUncertainty, -1e-8)
		sameValues(t, "direction", b.Series.Channels[1].Values, a.Series.Channels[1].Values, 1e-9)
	})
}

// TestMeanKept: over the time both have, every method gives back the measured mean but for speeds set to zero, and the
// variance ratio the spread as well, which are what defines them.
func TestMeanKept(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		_, s := weather(rapid.Uint64().Draw(rt, "seed"), 90, 3600, 3600, 0, 90)
		noisy := changed(s, 0, func(v float64) float64 { return 8 + 0.5*v + 0.4*math.Sin(40*v) })
		for _, method := range methods {
			r := predict(rt, noisy, 0, s, 0, longterm.Options{Method: method})
			near(t, "mean by "+string(method), meanOf(r.Series, 0), meanOf(noisy, 0), -1e-10)
			_, sd, _ := spread(withoutNaN(r.Series.Channels[0].Values), nil, longterm.Fit{})
			_, was, _ := spread(withoutNaN(noisy.Channels[0].Values), nil, longterm.Fit{})
			switch method {
			case longterm.VarianceRatio:
				near(t, "spread", sd, was, -1e-10)
			case longterm.LeastSquares:
				near(t, "spread by least squares", sd, r.R*was, -1e-10)
			}
		}
	})
}

func withoutNaN(values []float64) []float64 {
	return slices.DeleteFunc(slices.Clone(values), func(v float64) bool { return math.IsNaN(v) })
}

// TestShiftFound: a clock that is wrong by a known time is found so, also by half-hours where the steps allow.
func TestShiftFound(t *testing.T) {
	for _, w := range []struct {
		refStep, targetStep, shiftS int64
	}{
		{3600, 3600, 3600}, {3600, 3600, -5 * 3600}, {3600, 600, 2 * 3600}, {3600, 600, 5*3600 + 1800}, {3600, 900, -900},
		{600, 3600, 1800}, {600, 600, -6 * 3600}, {3600, 600, 0}, {86400, 3600, 3600},
	} {
		target, reference := weather(11, 150, w.refStep, w.targetStep, 10, 140)
		moved := *target
		moved.Times = slices.Clone(target.Times)
		for i := range moved.Times {
			moved.Times[i] += w.shiftS
		}
		r := predict(t, &moved, 1, reference, 0, longterm.Options{MaxShiftS: longterm.DefaultMaxShiftS})
		if w.refStep == 86400 { // days tell an hour only just
			if math.Abs(float64(r.ShiftS-w.shiftS)) > 7200 {
				t.Errorf("%+v: found %d s", w, r.ShiftS)
			}
			continue
		}
		if r.ShiftS != w.shiftS {
			t.Errorf("%+v: found %d s", w, r.ShiftS)
		}
		if r.Series.UTCOffsetS != target.UTCOffsetS+w.shiftS || r.Series.Times[0] != reference.Times[0] {
			t.Errorf("%+v: the hindcast's offset is %d s", w, r.Series.UTCOffsetS)
		}
	}
}

// TestRotation: all directions turned by 30° turn the directions of the hindcast, and nothing else.
func TestRotation(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		target, reference := weather(rapid.Uint64().Draw(rt, "seed"), 120, 3600, 3600, 10, 110)
		by := 30 * float64(rapid.IntRange(1, 11).Draw(rt, "sectors turned"))
		turn := func(v float64) float64 { return math.Mod(v+by, 360) }
		o := longterm.Options{Sectors: true}
		a := predict(rt, target, 1, reference, 0, o)
		b := predict(rt, changed(target, 0, turn), 1, changed(reference, 1, turn), 0, o)
		sameValues(t, "speed", b.Series.Channels[0].Values, a.Series.Channels[0].Values, 1e-12)
		near(t, "leave-out", b.LeaveOut.MeanErrorRMS, a.LeaveOut.MeanErrorRMS, -1e-9)
		for i, v := range a.Series.Channels[1].Values {
			apart := math.Mod(b.Series.Channels[1].Values[i]-v-by+900, 360) - 180
			if math.Abs(apart) > 1e-9 {
				t.Fatalf("direction %d is %g, and %g turned", i, v, b.Series.Channels[1].Values[i])
			}
		}
	})
}

// TestJoined: a record that was split and joined again is the record.
func TestJoined(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		target, reference := weather(rapid.Uint64().Draw(rt, "seed"), 100, 3600, 600, 10, 90)
		at := rapid.IntRange(1, target.Len()-1).Draw(rt, "split")
		first, second := part(target, 0, at), part(target, at, target.Len())
		joined := *first
		joined.Times = slices.Concat(first.Times, second.Times)
		joined.Channels = slices.Clone(first.Channels)
		for i := range joined.Channels {
			joined.Channels[i].Values = slices.Concat(first.Channels[i].Values, second.Channels[i].Values)
		}
		o := longterm.Options{Sectors: true, MaxShiftS: longterm.DefaultMaxShiftS}
		a, b := predict(rt, target, 1, reference, 0, o), predict(rt, &joined, 1, reference, 0, o)
		if a.R != b.R || a.StandardUncertainty != b.StandardUncertainty || a.ConcurrentN != b.ConcurrentN {
			t.Errorf("%g and %g", a.R, b.R)
		}
		sameValues(t, "speed", b.Series.Channels[0].Values, a.Series.Channels[0].Values, 0)
	})
}

// TestWhatever: odd steps, gaps, averages and shifts give an answer or an error, and an answer's numbers hang together.
func TestWhatever(t *testing.T) {
	steps := []int64{600, 900, 1800, 3600, 10800, 86400}
	rapid.Check(t, func(rt *rapid.T) {
		step := func(name string) int64 { return rapid.SampledFrom(steps).Draw(rt, name) }
		target, reference := weather(rapid.Uint64().Draw(rt, "seed"), 60, step("reference"), step("target"), 5, 55)
		target = gaps(rt, target)
		reference = gaps(rt, reference)
		o := longterm.Options{
			Method: rapid.SampledFrom(methods).Draw(rt, "method"), Sectors: rapid.Bool().Draw(rt, "sectors"), LeastR2: 0.01,
			MaxShiftS: rapid.SampledFrom([]int64{0, 600, 3600, 5000, 86400}).Draw(rt, "shift"),
			AverageS:  rapid.SampledFrom([]int64{0, 600, 3600, 5000, 86400, 100000}).Draw(rt, "average"),
		}
		r, err := longterm.Predict(target, 1, reference, 0, o)
		if err != nil {
			return
		}
		n := 0
		for i, v := range r.Series.Channels[0].Values {
			if reference.Channels[0].Usable(i) == math.IsNaN(v) || v < 0 {
				t.Fatalf("value %d is %g", i, v)
			}
			if v == v {
				n++
			}
		}
		coarser := max(target.StepS, reference.StepS)
		if r.AverageS%coarser != 0 || r.AverageS < o.AverageS || r.ConcurrentToUnix-r.ConcurrentFromUnix < int64(r.ConcurrentN)*r.AverageS ||
			max(r.ShiftS, -r.ShiftS) > o.MaxShiftS || !(r.StandardUncertainty > 0) || r.Clipped > n {
			t.Fatalf("%+v", r)
		}
	})
}

// gaps takes some stretches out of a record.
func gaps(rt *rapid.T, s *resource.Series) *resource.Series {
	for range rapid.IntRange(0, 3).Draw(rt, "gaps") {
		at := rapid.IntRange(0, s.Len()-1).Draw(rt, "from")
		to := min(s.Len(), at+rapid.IntRange(1, s.Len()/8+1).Draw(rt, "long"))
		if to-at >= s.Len() {
			return s
		}
		out := *s
		out.Times = slices.Concat(s.Times[:at], s.Times[to:])
		out.Channels = slices.Clone(s.Channels)
		for i := range out.Channels {
			out.Channels[i].Values = slices.Concat(s.Channels[i].Values[:at], s.Channels[i].Values[to:])
		}
		s = &out
	}
	return s
}

// TestDaysOfTheRecord: a record of days is held against the hours of its own days, which begin at 23 h UTC.
func TestDaysOfTheRecord(t *testing.T) {
	_, reference := weather(4, 200, 3600, 3600, 0, 1)
	record := &resource.Series{StepS: 86400, UTCOffsetS: 3600, Kind: resource.Daily,
		Channels: []resource.Channel{{Name: "days", Quantity: resource.Speed, HeightM: 10}}}
	for i := 23; i+24 <= reference.Len(); i += 24 {
		sum, n := 0.0, 0.0
		for _, v := range reference.Channels[0].Values[i : i+24] {
			if v == v {
				sum += v
				n++
			}
		}
		record.Times = append(record.Times, reference.Times[i])
		record.Channels[0].Values = append(record.Channels[0].Values, 0.7*sum/n)
	}
	r := predict(t, record, 0, reference, 0, longterm.Options{MaxShiftS: longterm.DefaultMaxShiftS})
	if r.ShiftS != 0 || r.AverageS != 86400 || r.ConcurrentN != record.Len() || r.ConcurrentFromUnix != record.Times[0] {
		t.Errorf("%d pairs of %d s from %d, shifted by %d s", r.ConcurrentN, r.AverageS, r.ConcurrentFromUnix, r.ShiftS)
	}
	near(t, "slope", r.Fits[0].Slope, 0.7, 1e-9)
	if r.Series.StepS != 3600 || r.Series.Kind != resource.Measured || codes(r)[1] != "daily" {
		t.Errorf("a hindcast of %d-s steps that warns of %v", r.Series.StepS, codes(r))
	}
}
