package resource

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// anySeries draws a record of anything: gaps, missing and infinite values, channels of all quantities and heights.
func anySeries(t *rapid.T) *Series {
	s := &Series{
		StepS:      rapid.SampledFrom([]int64{60, 600, 3600, 86400}).Draw(t, "step"),
		UTCOffsetS: rapid.SampledFrom([]int64{-18000, 0, 3600}).Draw(t, "offset"),
		Place:      &Place{},
	}
	n := rapid.IntRange(0, 300).Draw(t, "n")
	at := rapid.Int64Range(-1e9, 2e9).Draw(t, "begin")
	for range n {
		s.Times = append(s.Times, at)
		at += s.StepS
		if rapid.IntRange(0, 19).Draw(t, "gap") == 0 {
			at += rapid.Int64Range(1, 100*s.StepS).Draw(t, "more")
		}
	}
	value := rapid.OneOf(rapid.Float64Range(0, 20), rapid.Float64Range(-5, 500),
		rapid.SampledFrom([]float64{math.NaN(), 0, 0, 5, 5, 360, math.Inf(1), math.Inf(-1), 1e300, -1e300}))
	for range rapid.IntRange(0, 4).Draw(t, "channels") {
		c := Channel{
			Name: "c", Quantity: Quantity(rapid.IntRange(0, int(DiffuseHorizontal)+1).Draw(t, "quantity")),
			HeightM: rapid.SampledFrom([]float64{math.NaN(), 0, 10, 10.5, 40}).Draw(t, "height"),
			Values:  rapid.SliceOfN(value, n, n).Draw(t, "values"),
		}
		if rapid.Bool().Draw(t, "flags") {
			c.Flags = make([]Flag, n)
			for i := range c.Flags {
				c.Flags[i] = Flag(rapid.SampledFrom([]int{0, 0, 0, int(FlagSource), int(FlagExclude), int(FlagRange | FlagShadow)}).Draw(t, "flag"))
			}
		}
		s.Channels = append(s.Channels, c)
	}
	return s
}

// flagsOf copies all flags; channels without any have none set.
func flagsOf(s *Series) [][]Flag {
	out := make([][]Flag, len(s.Channels))
	for i, c := range s.Channels {
		out[i] = make([]Flag, s.Len())
		copy(out[i], c.Flags)
	}
	return out
}

// TestScreenAnything: whatever a record holds, screening does not fail, changes no value, keeps the flags of others, does
// the same the second time, and its findings lie within the record; with any rules off, too, the others still run.
func TestScreenAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySeries(t)
		var off []string
		for _, r := range Rules() {
			if rapid.IntRange(0, 3).Draw(t, "off") == 0 {
				off = append(off, r.Name)
			}
		}
		o := ScreenOptions{Off: off, Limits: map[string]float64{"suspect_unit.fewest_values": 50, "swapped_channels.fewest_values": 10,
			"mast_shadow.fewest_values": 5, "clock_shift.pattern_speed": 0.1}}
		var before [][]float64
		for _, c := range s.Channels {
			before = append(before, slices.Clone(c.Values))
		}
		others := flagsOf(s)
		first, err := ScreenWith(s, o)
		if err != nil {
			t.Fatal(err)
		}
		flags := flagsOf(s)
		second, err := ScreenWith(s, o)
		if err != nil || !reflect.DeepEqual(first, second) || !reflect.DeepEqual(flags, flagsOf(s)) {
			t.Fatalf("the second time is another: %v\n%s%s", err, listed(first), listed(second))
		}
		for i, c := range s.Channels {
			for k, v := range c.Values {
				if math.Float64bits(v) != math.Float64bits(before[i][k]) {
					t.Fatalf("value %d of channel %d changed", k, i)
				}
				if kept := others[i][k] & (FlagSource | FlagExclude); flags[i][k]&(FlagSource|FlagExclude) != kept {
					t.Fatalf("flag %d of channel %d changed", k, i)
				}
			}
		}
		for _, f := range first {
			if f.Count < 1 || f.FromUnix > f.ToUnix || f.FromUnix < s.Times[0] || f.ToUnix > s.Times[len(s.Times)-1] || f.Detail == "" ||
				slices.Contains(off, f.Rule) || f.Index < -1 || f.Index >= len(s.Channels) || (f.Index < 0) != (f.Channel == "") {
				t.Fatalf("%+v", f)
			}
		}
	})
}

// faulty is a record with one of most faults.
func faulty() *Series {
	s := mast(600, 365)
	for i, d := range s.Channels[3].Values {
		off := math.Remainder(d-200, 360) / 15
		s.Channels[1].Values[i] *= 1 - 0.25*math.Exp(-off*off)
		off = math.Remainder(d-20, 360) / 15
		s.Channels[0].Values[i] *= 1 - 0.25*math.Exp(-off*off)
	}
	for i := 20000; i < 20040; i++ {
		s.Channels[0].Values[i] = 7.123
		s.Channels[3].Values[i] = 77.5
	}
	s.Channels[0].Values[4000], s.Channels[1].Values[9000] = 120, 60
	late(s, 4, 200*dayRows, 12)
	cut(s, 30000, 300)
	return s
}

// without leaves details out, which may name numbers that turn or are rounded.
func without(found []Finding) []Finding {
	out := slices.Clone(found)
	for i := range out {
		out[i].Detail = ""
	}
	return out
}

// TestScreenTurned: turning all directions by 30° turns the details, and nothing else. Both sensors are shadowed, each
// from its own side.
func TestScreenTurned(t *testing.T) {
	s := faulty()
	found := Screen(s)
	flags := flagsOf(s)
	shadows := 0
	for _, f := range found {
		if f.Rule == "mast_shadow" {
			shadows++
			if side := map[string]string{"speed_a": "from 5° to 35° ", "speed_b": "from 185° to 215° "}[f.Channel]; !strings.Contains(f.Detail, side) {
				t.Errorf("want a shadow %s: %s", side, f.Detail)
			}
		}
	}
	if shadows != 2 || len(found) < 7 {
		t.Fatalf("%s", listed(found))
	}
	turned := faulty()
	for i, d := range turned.Channels[3].Values {
		turned.Channels[3].Values[i] = math.Mod(d+30, 360)
	}
	again := Screen(turned)
	if !reflect.DeepEqual(without(found), without(again)) || !reflect.DeepEqual(flags, flagsOf(turned)) {
		t.Errorf("as it is:\n%sturned:\n%s", listed(found), listed(again))
	}
}

// TestScreenOtherUnit: speeds written in knots and read as such give the findings of the same speeds in m/s.
func TestScreenOtherUnit(t *testing.T) {
	s, knots := faulty(), faulty()
	for i := range 2 {
		for k, v := range knots.Channels[i].Values {
			knots.Channels[i].Values[k] = v / knotMS * knotMS
		}
	}
	if found, again := Screen(s), Screen(knots); !reflect.DeepEqual(without(found), without(again)) || !reflect.DeepEqual(flagsOf(s), flagsOf(knots)) {
		t.Errorf("m/s:\n%sknots:\n%s", listed(found), listed(again))
	}
}

// TestScreenJoined: a record in two parts, screened apart and joined, flags and all, is screened as the whole is.
func TestScreenJoined(t *testing.T) {
	whole, joined := faulty(), faulty()
	const at = 26000
	for i := range joined.Channels {
		joined.Channels[i].Flags = make([]Flag, joined.Len())
	}
	for _, part := range [][2]int{{0, at}, {at, joined.Len()}} {
		p := *joined
		p.Times = joined.Times[part[0]:part[1]]
		p.Channels = slices.Clone(joined.Channels)
		for i := range p.Channels {
			c := &p.Channels[i]
			c.Values, c.Flags = c.Values[part[0]:part[1]], c.Flags[part[0]:part[1]]
		}
		if found := Screen(&p); len(found) == 0 {
			t.Error("a part has no findings")
		}
	}
	if found, again := Screen(whole), Screen(joined); !reflect.DeepEqual(found, again) || !reflect.DeepEqual(flagsOf(whole), flagsOf(joined)) {
		t.Errorf("whole:\n%sjoined:\n%s", listed(found), listed(again))
	}
}

// TestScreenSteps: a clean mast is clean at any step.
func TestScreenSteps(t *testing.T) {
	for _, stepS := range []int64{10, 60, 300, 600, 1800, 3600} {
		days := int(min(730, 40*stepS))
		if stepS == 10 {
			days = 20
		}
		if found := Screen(mast(stepS, days)); len(found) != 0 {
			t.Errorf("%d s:\n%s", stepS, listed(found))
		}
	}
}

// TestScreenStricter: a stricter limit finds no less.
func TestScreenStricter(t *testing.T) {
	s := faulty()
	before := math.MaxInt
	for _, limit := range []float64{2, 5, 10, 20, 40} {
		found, err := ScreenWith(s, ScreenOptions{Limits: map[string]float64{"spike.speed_m_s": limit, "spike.mean_steps": 0}})
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, f := range found {
			if f.Rule == "spike" {
				n += f.Count
			}
		}
		if n > before {
			t.Errorf("%d values at %g m/s, %d at a stricter limit", n, limit, before)
		}
		before = n
	}
}

func ExampleScreenWith() {
	s := &Series{StepS: 600, Channels: []Channel{{Name: "cup", Quantity: Speed, HeightM: 18, Values: []float64{4.1, 5.2, 46, 4.8, 88, 5.0}}}}
	for i := range s.Channels[0].Values {
		s.Times = append(s.Times, int64(i)*s.StepS)
	}
	found, err := ScreenWith(s, ScreenOptions{Off: []string{"icing"}, Limits: map[string]float64{"range.speed_max_m_s": 60, "spike.mean_steps": 1}})
	if err != nil {
		fmt.Println(err)
	}
	for _, f := range found {
		fmt.Printf("%s, %s, %d: %s\n", f.Rule, f.Action, f.Count, f.Detail)
	}
	// Output:
	// range, flagged, 1: 88 m/s is outside 0 to 60 m/s
	// spike, flagged, 1: 46 stands 40.8 m/s away from the 5.2 before and the 4.8 after; in this record more than 27.7 is too much
}
