package longterm_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"mastworth/resource"
	"mastworth/resource/longterm"
)

// moved is a record some days later.
func moved(s *resource.Series, days int64) *resource.Series {
	out := *s
	out.Times = slices.Clone(s.Times)
	for i := range out.Times {
		out.Times[i] += days * 86400
	}
	return &out
}

func kind(s *resource.Series, k resource.Kind) *resource.Series {
	out := *s
	out.Kind = k
	return &out
}

func TestRefused(t *testing.T) {
	target, reference := weather(5, 200, 3600, 3600, 20, 120)
	constant := func(float64) float64 { return 5 }
	noise := func(i int) func(float64) float64 {
		return func(float64) float64 { i++; return 5 + math.Sin(float64(i*i)) }
	}
	nothing := func(float64) float64 { return math.NaN() }
	for _, w := range []struct {
		name              string
		target, reference *resource.Series
		channel, ref      int
		o                 longterm.Options
		want              error
		says              []string
	}{
		{"method", target, reference, 1, 0, longterm.Options{Method: "magic"}, longterm.ErrMethod, []string{`"magic"`, "variance_ratio"}},
		{"r² limit", target, reference, 1, 0, longterm.Options{LeastR2: 1}, longterm.ErrOptions, []string{"r²"}},
		{"r² not a number", target, reference, 1, 0, longterm.Options{LeastR2: math.NaN()}, longterm.ErrOptions, nil},
		{"shift", target, reference, 1, 0, longterm.Options{MaxShiftS: -1}, longterm.ErrOptions, []string{"-1 s"}},
		{"average", target, reference, 1, 0, longterm.Options{AverageS: 1e9}, longterm.ErrOptions, []string{"1000000000 s"}},
		{"direction as target", target, reference, 0, 0, longterm.Options{}, resource.ErrNotSpeed, []string{`"vane"`, "direction"}},
		{"temperature as reference", target, reference, 1, 2, longterm.Options{}, resource.ErrNotSpeed, []string{"reference air", "of the reference"}},
		{"typical reference", target, kind(reference, resource.TypicalYear), 1, 0, longterm.Options{}, longterm.ErrTypicalYear, []string{"reference", "consecutive years"}},
		{"typical record", kind(target, resource.TypicalYear), reference, 1, 0, longterm.Options{}, longterm.ErrTypicalYear, []string{"the record cannot"}},
		{"never overlaps", moved(target, 4000), reference, 1, 0, longterm.Options{MaxShiftS: 3600}, longterm.ErrNoOverlap,
			[]string{"2030-01-03 to 2030-04-13", "2019-01-01 to 2019-07-20", "take a reference that covers"}},
		{"short reference", target, part(reference, 24*40, 24*90), 1, 0, longterm.Options{}, longterm.ErrReferenceShort, []string{"0.1 years against 0.3", "longer reference"}},
		{"a week in common", moved(target, 173), reference, 1, 0, longterm.Options{}, longterm.ErrTooFew, []string{"low cup", "days are the least", "measure on"}},
		{"nothing usable", changed(target, 1, nothing), reference, 1, 0, longterm.Options{}, longterm.ErrTooFew, []string{"screening"}},
		{"no reference usable", target, changed(reference, 0, nothing), 1, 0, longterm.Options{}, longterm.ErrTooFew, []string{"screening"}},
		{"empty reference", target, part(reference, 0, 0), 1, 0, longterm.Options{}, longterm.ErrTooFew, []string{"usable"}},
		{"unrelated", changed(target, 1, noise(0)), reference, 1, 0, longterm.Options{}, longterm.ErrPoorCorrelation, []string{"0.30", "another reference"}},
		{"opposed", changed(target, 1, func(v float64) float64 { return 20 - v }), reference, 1, 0, longterm.Options{LeastR2: 0.01}, longterm.ErrPoorCorrelation, []string{"r is -0.9"}},
		{"constant", changed(target, 1, constant), reference, 1, 0, longterm.Options{}, longterm.ErrPoorCorrelation, []string{"does not vary"}},
	} {
		_, err := longterm.Predict(w.target, w.channel, w.reference, w.ref, w.o)
		if !errors.Is(err, w.want) {
			t.Errorf("%s: got %v, want %v", w.name, err, w.want)
			continue
		}
		for _, says := range w.says {
			if !strings.Contains(err.Error(), says) {
				t.Errorf("%s: %q does not say %q", w.name, err, says)
			}
		}
	}
}

func codes(r longterm.Result) []string {
	var out []string
	for _, w := range r.Warnings {
		out = append(out, strings.TrimPrefix(w.Code, "long_term_"))
	}
	return out
}

func TestWarned(t *testing.T) {
	target, reference := weather(9, 800, 3600, 3600, 20, 420)
	target = changed(target, 1, func(v float64) float64 { return v + 3 }) // no line dips below zero
	bare := *reference
	bare.Channels = reference.Channels[:1]
	low, high := *target, *reference
	low.Place, high.Place = &resource.Place{ElevationM: 20}, &resource.Place{ElevationM: 320}
	high.Channels = append(slices.Clone(reference.Channels), resource.Channel{Name: "p", Quantity: resource.Pressure, HeightM: 2, Values: make([]float64, reference.Len())})
	dull := changed(target, 1, func(v float64) float64 { return math.Max(0, v-4+2.2*math.Sin(1000*v)) })
	for _, w := range []struct {
		name              string
		target, reference *resource.Series
		o                 longterm.Options
		want              []string
	}{
		{"as it should be", target, reference, longterm.Options{}, []string{"brief_reference"}},
		{"least squares", target, reference, longterm.Options{Method: longterm.LeastSquares}, []string{"variance_lost", "brief_reference"}},
		{"four months", part(target, 0, 24*120), reference, longterm.Options{}, []string{"season", "brief_reference"}},
		{"two months", part(target, 0, 24*39), reference, longterm.Options{}, []string{"season", "few_months", "brief_reference"}},
		{"no direction", target, &bare, longterm.Options{Sectors: true}, []string{"no_sectors", "no_direction", "brief_reference"}},
		{"elevation", &low, &high, longterm.Options{}, []string{"brief_reference", "elevation"}},
		{"days", target, kind(reference, resource.Daily), longterm.Options{}, []string{"daily", "brief_reference"}},
		{"weak", dull, reference, longterm.Options{Method: longterm.VarianceRatio}, []string{"weak_correlation", "clipped", "brief_reference"}},
	} {
		r := predict(t, w.target, 1, w.reference, 0, w.o)
		if got := codes(r); !slices.Equal(got, w.want) {
			t.Errorf("%s: warns of %v, want %v (r² %.2f)", w.name, got, w.want, r.R2)
		}
	}
}

// TestHindcast looks at what the hindcast is made of.
func TestHindcast(t *testing.T) {
	target, reference := weather(21, 300, 3600, 600, 30, 250)
	target.Place, target.Attribution, reference.Attribution = &resource.Place{ElevationM: 7}, "ours", "theirs"
	reference.Channels[0].Flags = make([]resource.Flag, reference.Len())
	reference.Channels[0].Flags[5] = resource.FlagFlat
	reference.Channels[2].Flags = make([]resource.Flag, reference.Len())
	s, results, err := longterm.PredictAll(target, []int{1, 2}, reference, 0, longterm.Options{Sectors: true})
	if err != nil {
		t.Fatal(err)
	}
	if s.Len() != reference.Len() || s.StepS != 3600 || s.UTCOffsetS != 3600 || s.Place != target.Place || s.Attribution != "ours; theirs" {
		t.Errorf("%+v", s.Attribution)
	}
	for i, want := range []struct {
		name     string
		quantity resource.Quantity
		height   float64
	}{{"low cup", resource.Speed, 10}, {"high cup", resource.Speed, 20}, {"vane", resource.Direction, 9}, {"reference air", resource.Temperature, 2}} {
		if c := s.Channels[i]; c.Name != want.name || c.Quantity != want.quantity || c.HeightM != want.height || len(c.Values) != s.Len() {
			t.Errorf("channel %d is %s, %s at %g m", i, c.Name, c.Quantity, c.HeightM)
		}
	}
	for i := range s.Times {
		low, high := s.Channels[0].Values[i], s.Channels[1].Values[i]
		if math.IsNaN(low) == reference.Channels[0].Usable(i) {
			t.Fatalf("value %d is %g, and the reference's %g", i, low, reference.Channels[0].Values[i])
		}
		// The upper cup turns 1.15 times as fast at every stamp: every line is so, and the profile stays.
		if low > 0 && math.Abs(high/low-1.15) > 1e-9 {
			t.Fatalf("value %d: %g and %g", i, low, high)
		}
		// The vane stands 12° on from the reference's, but for where it lies within the sector.
		if turn := math.Mod(s.Channels[2].Values[i]-reference.Channels[1].Values[i]+360, 360); turn < 8 || turn > 16 {
			t.Fatalf("direction %d turned by %g", i, turn)
		}
	}
	if results[0].Series != s || results[1].Series != s || len(results[0].Fits) != 13 {
		t.Errorf("results: %d fits", len(results[0].Fits))
	}
	s.Channels[3].Flags[0] |= resource.FlagRange
	if reference.Channels[2].Flags[0] != 0 {
		t.Error("a flag of the hindcast reached the reference")
	}
}

// TestSectors: a site sheltered from one side, 0.4 of the reference there and 0.8 elsewhere, is found so by sector. The
// figures are the made-up site's own.
func TestSectors(t *testing.T) {
	_, reference := weather(33, 500, 3600, 3600, 0, 1)
	target := part(reference, 24*50, 24*450)
	sheltered := slices.Clone(target.Channels[0].Values)
	for i := range sheltered {
		f := 0.8
		if resource.SectorOf(target.Channels[1].Values[i], longterm.SectorCount) == 3 {
			f = 0.4
		}
		sheltered[i] *= f
	}
	target.Channels[0].Values = sheltered
	r := predict(t, target, 0, reference, 0, longterm.Options{Sectors: true})
	for _, f := range r.Fits[1:] {
		want := 0.8
		if f.Sector == 3 {
			want = 0.4
		}
		if f.Source == "own" {
			near(t, "slope", f.Slope, want, 1e-9)
			near(t, "intercept", f.Intercept, 0, 1e-9)
		} else if f.Slope != r.Fits[0].Slope {
			t.Errorf("sector %d with %d pairs has a line of its own", f.Sector, f.N)
		}
	}
	near(t, "leave-out", r.LeaveOut.MeanErrorRMS, 0, 1e-9)
	together := predict(t, target, 0, reference, 0, longterm.Options{})
	if !(together.LeaveOut.MeanErrorRMS > 0.01) {
		t.Errorf("one line for all leaves an error of %g", together.LeaveOut.MeanErrorRMS)
	}
}
