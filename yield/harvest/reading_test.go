package harvest

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"mastworth/resource"
)

const day = 86400

// t0 is 1 January 2025, 0 h UTC.
const t0 = 1735689600

func meter(days, kwh float64) Reading {
	return Reading{AtUnix: t0 + int64(days*day), Meter: true, KWh: kwh}
}

func energy(from, to, kwh float64) Reading {
	r := Reading{AtUnix: t0 + int64(to*day), KWh: kwh}
	if from >= 0 {
		r.FromUnix = t0 + int64(from*day)
	}
	return r
}

func span(from, to, kwh float64, isMeter bool) Interval {
	return Interval{t0 + int64(from*day), t0 + int64(to*day), kwh, isMeter}
}

func codes(ws []resource.Warning) []string {
	var out []string
	for _, w := range ws {
		out = append(out, w.Code)
	}
	return out
}

// Each line is worked out by hand.
func TestIntervals(t *testing.T) {
	for name, c := range map[string]struct {
		readings []Reading
		want     []Interval
		codes    []string
	}{
		"nothing":                 {nil, nil, nil},
		"one counter":             {[]Reading{meter(0, 5)}, nil, nil},
		"two counters":            {[]Reading{meter(0, 100), meter(30, 160)}, []Interval{span(0, 30, 60, true)}, nil},
		"out of order":            {[]Reading{meter(30, 160), meter(60, 200), meter(0, 100)}, []Interval{span(0, 30, 60, true), span(30, 60, 40, true)}, nil},
		"a gap is an interval":    {[]Reading{meter(0, 100), meter(300, 900)}, []Interval{span(0, 300, 800, true)}, nil},
		"turned over":             {[]Reading{meter(0, 99950), meter(30, 20)}, []Interval{span(0, 30, 70, true)}, []string{"meter_turned_over"}},
		"set back":                {[]Reading{meter(0, 5321), meter(30, 20), meter(60, 50)}, []Interval{span(30, 60, 30, true)}, []string{"meter_set_back"}},
		"small ones do not turn":  {[]Reading{meter(0, 95), meter(30, 2)}, nil, []string{"meter_set_back"}},
		"turned at a full figure": {[]Reading{meter(0, 10000), meter(30, 2)}, []Interval{span(0, 30, 2, true)}, []string{"meter_turned_over"}},
		"exchanged": {[]Reading{meter(0, 5300), meter(30, 0), meter(30, 5321), meter(60, 50)}, []Interval{span(0, 30, 21, true), span(30, 60, 50, true)},
			[]string{"meter_exchanged"}},
		"given twice":         {[]Reading{meter(0, 1), meter(10, 2), meter(10, 2), meter(20, 4)}, []Interval{span(0, 10, 1, true), span(10, 20, 2, true)}, []string{"reading_twice"}},
		"energies":            {[]Reading{energy(0, 10, 3), energy(-1, 20, 4)}, []Interval{span(0, 10, 3, false), span(10, 20, 4, false)}, nil},
		"without a beginning": {[]Reading{energy(-1, 10, 3), energy(-1, 20, 4)}, []Interval{span(10, 20, 4, false)}, []string{"no_beginning"}},
		"two at one end":      {[]Reading{energy(0, 10, 3), energy(-1, 10, 2), energy(-1, 12, 2)}, []Interval{span(0, 10, 3, false), span(10, 12, 2, false)}, []string{"reading_twice"}},
		"overlap": {[]Reading{energy(0, 30, 90), energy(0, 10, 30), energy(10, 20, 30)}, []Interval{span(0, 10, 30, false), span(10, 20, 30, false)},
			[]string{"periods_overlap"}},
		"both kinds": {[]Reading{meter(0, 10), meter(30, 40), energy(0, 15, 14)}, []Interval{span(0, 15, 14, false)}, []string{"periods_overlap"}},
	} {
		t.Run(name, func(t *testing.T) {
			got, warnings := Intervals(c.readings, 0)
			if len(got)+len(c.want) > 0 && !reflect.DeepEqual(got, c.want) {
				t.Errorf("got %+v\nwant %+v", got, c.want)
			}
			if !reflect.DeepEqual(codes(warnings), c.codes) {
				t.Errorf("got %+v\nwant %q", warnings, c.codes)
			}
		})
	}
}

// However a counter that only rises is read and in whatever order it is sent, its intervals are apart and add up to what it rose.
func TestCounterAddsUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		steps := rapid.SliceOfN(rapid.IntRange(1, 1000), 2, 40).Draw(rt, "steps")
		var all []Reading
		at, kwh := 0.0, 0.0
		for _, s := range steps {
			at += float64(s) / 10
			kwh += float64(s % 97)
			all = append(all, meter(at, kwh))
		}
		shuffled := rapid.Permutation(all).Draw(rt, "order")
		got, warnings := Intervals(shuffled, 0)
		sum := 0.0
		for i := range got {
			sum += got[i].KWh
			if i > 0 && got[i].FromUnix < got[i-1].ToUnix {
				rt.Fatalf("%+v and %+v overlap", got[i-1], got[i])
			}
		}
		if want := all[len(all)-1].KWh - all[0].KWh; math.Abs(sum-want) > 1e-9 || len(got) != len(all)-1 || len(warnings) > 0 {
			rt.Fatalf("%g kWh in %d intervals (%v), want %g", sum, len(got), warnings, want)
		}
	})
}

// Many faults of one kind are counted, not told one by one.
func TestManyWarningsAreCounted(t *testing.T) {
	var all []Reading
	for i := range 40 {
		all = append(all, meter(float64(i), float64(40-i)))
	}
	_, warnings := Intervals(all, 0)
	if len(warnings) != mostTold+1 || warnings[mostTold].Detail != "and so at 34 more places" {
		t.Errorf("%d warnings: %+v", len(warnings), warnings)
	}
}
