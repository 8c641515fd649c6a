package climate

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"mastworth/resource"
)

// checkSums: the parts of a rose add up.
func checkSums(t interface {
	Helper()
	Errorf(string, ...any)
}, c Climate) {
	t.Helper()
	if c.Sectors == nil {
		return
	}
	share, energy := 0.0, 0.0
	for _, st := range c.Sectors {
		share += st.Share
		energy += st.EnergyShare
		classes := 0.0
		for _, x := range st.SpeedShares {
			classes += x
		}
		near(t, "speed classes of a sector", classes, st.Share, 1e-12)
	}
	near(t, "shares", share, 1, 1e-12)
	near(t, "energy rose", energy, 1, 1e-12)
}

// drawRecord is a record of some thousand hours, whose speeds, deviations and gusts are stored to 0.1 m/s; directions are
// whole or quarter degrees, so that turning them is exact.
func drawRecord(t *rapid.T) *resource.Series {
	n := rapid.IntRange(1, 3000).Draw(t, "n")
	seed := rapid.Uint64().Draw(t, "seed")
	random := func() float64 { // splitmix64
		seed += 0x9e3779b97f4a7c15
		z := (seed ^ seed>>30) * 0xbf58476d1ce4e5b9
		z = (z ^ z>>27) * 0x94d049bb133111eb
		return float64((z^z>>31)>>11) / (1 << 53)
	}
	w := resource.Weibull{Shape: rapid.Float64Range(1.2, 3).Draw(t, "k"), Scale: rapid.Float64Range(2, 9).Draw(t, "A")}
	speed, direction, deviation, gust := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		speed[i] = math.Round(10*w.Quantile(random())) / 10
		deviation[i] = math.Round(10*speed[i]*0.3*random()) / 10
		gust[i] = speed[i] + math.Round(10*speed[i]*random())/10
		direction[i] = math.Floor(4*360*math.Sqrt(random())) / 4
		switch x := random(); {
		case x < 0.05:
			speed[i] = math.NaN()
		case x < 0.1:
			direction[i] = math.NaN()
		case x < 0.15:
			speed[i] = 0
		}
	}
	s := record(rapid.SampledFrom([]int64{600, 3600, 10800}).Draw(t, "step"),
		channel(resource.Speed, 10, speed), channel(resource.Direction, 10, direction),
		channel(resource.SpeedSD, 10, deviation), channel(resource.Gust, 10, gust))
	s.UTCOffsetS = rapid.Int64Range(-12, 12).Draw(t, "offset") * 3600
	return s
}

// same holds two climates against each other number by number, within tol relatively. Errors are compared by being there,
// sentences not at all.
func same(t *rapid.T, a, b Climate, tol float64) {
	var walk func(path string, x, y reflect.Value)
	walk = func(path string, x, y reflect.Value) {
		switch x.Kind() {
		case reflect.Float64:
			p, q := x.Float(), y.Float()
			if !(math.Abs(p-q) <= tol*math.Max(1, math.Abs(q))) && !(math.IsNaN(p) && math.IsNaN(q)) && p != q {
				t.Errorf("%s: %.17g and %.17g", path, p, q)
			}
		case reflect.Struct:
			for i := range x.NumField() {
				walk(path+"."+x.Type().Field(i).Name, x.Field(i), y.Field(i))
			}
		case reflect.Slice, reflect.Array:
			if x.Len() != y.Len() {
				t.Errorf("%s: %d and %d", path, x.Len(), y.Len())
				return
			}
			for i := range x.Len() {
				walk(path+"["+string(rune('0'+i%10))+"]", x.Index(i), y.Index(i))
			}
		case reflect.Pointer, reflect.Interface:
			if x.IsNil() != y.IsNil() {
				t.Errorf("%s: %v and %v", path, x, y)
			} else if x.Kind() == reflect.Pointer && !x.IsNil() {
				walk(path, x.Elem(), y.Elem())
			}
		case reflect.String:
		default:
			if !x.Equal(y) {
				t.Errorf("%s: %v and %v", path, x, y)
			}
		}
	}
	walk("climate", reflect.ValueOf(a), reflect.ValueOf(b))
}

// TestRotation: turning all directions rotates the rose and nothing else.
func TestRotation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawRecord(t)
		o := rapid.SampledFrom([]Options{{}, {Sectors: 8}, {Sectors: 12}, {Sectors: 16}, {Sectors: 36}}).Draw(t, "sectors")
		turn := 30.0
		if o.Sectors == 8 || o.Sectors == 16 {
			turn = 45
		}
		a, err := Of(s, 0, o)
		if err != nil {
			t.Fatal(err)
		}
		turned := slices.Clone(s.Channels[1].Values)
		for i := range turned {
			if turned[i] += turn; turned[i] >= 360 {
				turned[i] -= 360
			}
		}
		s.Channels[1].Values = turned
		b, err := Of(s, 0, o)
		if err != nil {
			t.Fatal(err)
		}
		if a.Sectors != nil {
			n := len(a.Sectors)
			by := int(turn) * n / 360
			b.Sectors = append(slices.Clone(b.Sectors[by:]), b.Sectors[:by]...)
			for k := range b.Sectors {
				b.Sectors[k].FromDeg, b.Sectors[k].ToDeg = a.Sectors[k].FromDeg, a.Sectors[k].ToDeg
			}
		}
		checkSums(t, a)
		same(t, a, b, 1e-12)
	})
}

// TestUnits: a record in another unit, and changed back, is the same record.
func TestUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawRecord(t)
		factor := rapid.SampledFrom([]float64{0.44704, 0.514444, 3.6, 1 / 3.6, 0.3048}).Draw(t, "factor")
		a, err := Of(s, 0, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []int{0, 2, 3} {
			for i := range s.Channels[c].Values {
				s.Channels[c].Values[i] = s.Channels[c].Values[i] / factor * factor
			}
		}
		b, err := Of(s, 0, Options{})
		if err != nil {
			t.Fatal(err)
		}
		same(t, a, b, 1e-12)
	})
}

// TestJoining: a record cut anywhere and joined again is the same; and sums of its halves' months are the whole's.
func TestJoining(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawRecord(t)
		cut := rapid.IntRange(0, s.Len()).Draw(t, "cut")
		part := func(from, to int) *resource.Series {
			p := *s
			p.Times = s.Times[from:to]
			p.Channels = slices.Clone(s.Channels)
			for i := range p.Channels {
				p.Channels[i].Values = s.Channels[i].Values[from:to]
			}
			return &p
		}
		first, second := part(0, cut), part(cut, s.Len())
		joined := *first
		joined.Times = slices.Concat(first.Times, second.Times)
		joined.Channels = slices.Clone(first.Channels)
		for i := range joined.Channels {
			joined.Channels[i].Values = slices.Concat(first.Channels[i].Values, second.Channels[i].Values)
		}
		climates := make([]Climate, 4)
		for i, p := range []*resource.Series{s, &joined, first, second} {
			var err error
			if climates[i], err = Of(p, 0, Options{}); err != nil {
				t.Fatal(err)
			}
		}
		same(t, climates[0], climates[1], 0)
		for m := range 12 {
			for h := range 24 {
				whole, n, sum := climates[0].MonthHours[m][h], 0, 0.0
				for _, c := range climates[2:] {
					if p := c.MonthHours[m][h]; p.N > 0 {
						n += p.N
						sum += float64(p.N) * p.MeanMS
					}
				}
				near(t, "n", float64(whole.N), float64(n), 0)
				if n > 0 {
					near(t, "mean", whole.MeanMS, sum/float64(n), 1e-12)
				}
			}
		}
	})
}

// TestWeights: a whole weight counts like so many equal speeds, in every method, against resource.FitSpeeds; and weights of
// another size all round change nothing.
func TestWeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(40, 3000).Draw(t, "n")
		step := rapid.SampledFrom([]float64{0, 0.1}).Draw(t, "step")
		w := resource.Weibull{Shape: rapid.Float64Range(1, 12).Draw(t, "k"), Scale: rapid.Float64Range(1, 12).Draw(t, "A")}
		whole := [12]float64{}
		for m := range whole {
			whole[m] = float64(1 + m%3)
		}
		var entries []entry
		var repeated []float64
		for i := range n {
			v := w.Quantile((float64(i) + 0.5) / float64(n))
			if step > 0 {
				v = step * math.Round(1+v/step)
			}
			e := entry{v: v, month: uint8(i * 7 % 12)}
			entries = append(entries, e)
			for range int(whole[e.month]) {
				repeated = append(repeated, v)
			}
		}
		sorted := sortEntries(entries)
		s := newSample(sorted, &whole, nil)
		scaled := whole
		for m := range scaled {
			scaled[m] *= 1.7
		}
		other := newSample(sorted, &scaled, nil)
		for _, m := range resource.FitMethods() {
			want, err1 := resource.FitSpeeds(repeated, m)
			got, err2 := s.fit(m)
			again, err3 := other.fit(m)
			if (err1 == nil) != (err2 == nil) || (err1 == nil) != (err3 == nil) {
				t.Fatalf("%s: %v, %v, %v", m, err1, err2, err3)
			}
			if err1 != nil {
				continue
			}
			tol := 1e-9
			if m == resource.Moments { // n−1 is that of the speeds, not of the repeated ones
				tol = 2 / float64(n)
			}
			near(t, string(m)+" k", got.Shape, want.Shape, -tol)
			near(t, string(m)+" A", got.Scale, want.Scale, -tol)
			if m != resource.Moments {
				near(t, string(m)+" distance", got.Distance, want.Distance, 1e-9)
			}
			near(t, string(m)+" k again", again.Shape, got.Shape, -1e-9)
			near(t, string(m)+" error again", again.ShapeSE, got.ShapeSE, -1e-9)
		}
	})
}

// TestRanked: against sorting, with many values and few, alike and far apart.
func TestRanked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		few := rapid.SliceOfN(rapid.OneOf(rapid.SampledFrom([]float64{0, 1, 2, 3, 0.1, 0.2, math.Pi}), rapid.Float64Range(0, 1),
			rapid.Float64Min(0)), 1, 100).Draw(t, "values")
		var values []float64
		for i := range rapid.SampledFrom([]int{1, 1, 50, 100}).Draw(t, "times") {
			for _, v := range few {
				values = append(values, min(v*(1+float64(i%7)/64), math.MaxFloat64))
			}
		}
		k := rapid.IntRange(0, len(values)-1).Draw(t, "k")
		sorted := slices.Sorted(slices.Values(values))
		low, high := ranked(values, k)
		if low != sorted[k] || high != sorted[min(k+1, len(sorted)-1)] {
			t.Fatalf("rank %d of %d: %g and %g", k, len(sorted), low, high)
		}
	})
}
