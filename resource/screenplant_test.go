package resource

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

const dayRows = 144 // of ten-minute data

// planted is one fault put into a clean record, and the findings it must make, and no others.
type planted struct {
	name  string
	plant func(s *Series)
	want  []wanted
}

// wanted is a finding: rows are those of the record as planted, −1 for a row that may be any.
type wanted struct {
	rule, channel string
	from, to      int
	slack         int // rows either way
	count         int // 0: any
	says          string
}

func (w *wanted) is(s *Series, f *Finding) bool {
	at := func(row int, unix int64) bool {
		return row < 0 || math.Abs(float64(unix-s.Times[0])-float64(row)*float64(s.StepS)) <= float64(w.slack)*float64(s.StepS)
	}
	action := ActionReported
	for _, r := range Rules() {
		if r.Name == f.Rule && r.Flag != 0 {
			action = ActionFlagged
		}
	}
	return f.Rule == w.rule && f.Channel == w.channel && f.Action == action && at(w.from, f.FromUnix) && at(w.to, f.ToUnix) &&
		(w.count == 0 || f.Count == w.count) && strings.Contains(f.Detail, w.says)
}

func plantedFaults() []planted {
	set := func(s *Series, channel, from, n int, v func(i int) float64) {
		for i := from; i < from+n; i++ {
			s.Channels[channel].Values[i] = v(i)
		}
	}
	by := func(s *Series, channel int, f func(i int) float64) {
		for i := range s.Times {
			s.Channels[channel].Values[i] *= f(i)
		}
	}
	return []planted{
		{"nothing", func(*Series) {}, nil},
		{"range", func(s *Series) { s.Channels[0].Values[4000] = 120; s.Channels[3].Values[9000] = 400 },
			[]wanted{{"range", "speed_a", 4000, 4000, 0, 1, "120 m/s"}, {"range", "vane", 9000, 9000, 0, 1, "400°"}}},
		{"spikes", func(s *Series) {
			set(s, 0, 5000, 2, func(int) float64 { return 50 })
			s.Channels[4].Values[6000] -= 40
			s.Channels[5].Values[7000] += 5000
		}, []wanted{{"spike", "speed_a", 5000, 5001, 0, 2, "m/s away"}, {"spike", "air", 6000, 6000, 0, 1, "K away"}, {"spike", "pressure", 7000, 7000, 0, 1, "Pa away"}}},
		{"frozen", func(s *Series) { set(s, 1, 20000, 30, func(int) float64 { return 7.123 }) },
			[]wanted{{"flat_line", "speed_b", 20000, 20029, 0, 30, "7.123 stands for 30 steps"}}},
		{"iced", func(s *Series) {
			set(s, 4, 800, 54, func(i int) float64 { return -3 + 0.1*float64(i%3) })
			set(s, 0, 801, 52, func(int) float64 { return 0 })
			set(s, 3, 801, 52, func(i int) float64 { return 80 + 0.5*float64(i%2) })
		}, []wanted{{"icing", "speed_a", 801, 852, 0, 52, "the vane within 0.5°"}}},
		{"gaps", func(s *Series) { cut(s, 30000, 5*dayRows); cut(s, 10000, 3) },
			[]wanted{{"missing_stamps", "", 30000, 30000 + 5*dayRows - 1, 0, 5 * dayRows, "(120 h)"}, {"missing_stamps", "", 10000, 10002, 0, 3, "in 1 gaps of less than 24 h"}}},
		{"mast shadow", func(s *Series) {
			by(s, 1, func(i int) float64 {
				off := math.Remainder(s.Channels[3].Values[i]-200, 360) / 15
				return 1 - 0.25*math.Exp(-off*off)
			})
		}, []wanted{{"mast_shadow", "speed_b", -1, -1, 0, 0, "to 2"}}},
		{"drift", func(s *Series) { by(s, 1, func(i int) float64 { return 1 - 0.05*float64(i)/52560 }) },
			[]wanted{{"sensor_drift", "speed_a", 0, 52559, 0, 0, "more and more beside \"speed_b\": +5"}}},
		{"deviation for mean", func(s *Series) {
			by(s, 0, func(int) float64 { return 0.5 }) // no speed above what a deviation can be
			by(s, 1, func(int) float64 { return 0.5 })
			by(s, 2, func(int) float64 { return 0.5 })
			swap(s, 0, 2, 59*dayRows, 151*dayRows)
		}, []wanted{{"swapped_channels", "speed_a", 59 * dayRows, 151*dayRows - 1, 0, 0, "\"speed_sd\" is larger than the mean"}}},
		{"gust for mean", func(s *Series) {
			s.Channels[2].Name, s.Channels[2].Quantity = "gust", Gust
			set(s, 2, 0, s.Len(), func(i int) float64 { return s.Channels[0].Values[i] * 1.5 })
			swap(s, 0, 2, 59*dayRows, 151*dayRows)
		}, []wanted{{"swapped_channels", "speed_a", 59 * dayRows, 151*dayRows - 1, 0, 0, "\"gust\" is below the mean"}}},
		{"heights swapped", func(s *Series) {
			s.Channels[1].HeightM = 20
			by(s, 1, func(int) float64 { return math.Pow(0.5, 0.2) })
			swap(s, 0, 1, 59*dayRows, 151*dayRows)
		}, []wanted{{"swapped_channels", "speed_b", 59 * dayRows, 151*dayRows - 1, 0, 0, "reads more than \"speed_a\" at 40 m"}}},
		{"sign", func(s *Series) {
			by(s, 1, func(int) float64 { return -1 })
		}, []wanted{{"range", "speed_b", 0, 52559, 0, 52560, "outside 0 to 75"}, {"swapped_channels", "speed_b", 0, 52559, 0, 52560, "below zero"}}},
		{"km/h", func(s *Series) { // the swifter of the two heights is in another unit, and reads more still
			by(s, 0, func(int) float64 { return 2.2 })
			s.Channels[1].HeightM = 20
		}, []wanted{{"suspect_unit", "speed_a", 0, 52559, 0, 52560, "in knots, mph or km/h"}}},
		{"hPa and kelvin", func(s *Series) {
			by(s, 5, func(int) float64 { return 0.01 })
			set(s, 4, 0, s.Len(), func(i int) float64 { return s.Channels[4].Values[i] + 273.15 })
		}, []wanted{{"range", "air", 0, 52559, 0, 52560, "outside"}, {"suspect_unit", "air", 0, 52559, 0, 52560, "kelvin"},
			{"range", "pressure", 0, 52559, 0, 52560, "outside"}, {"suspect_unit", "pressure", 0, 52559, 0, 52560, "hPa"}}},
		{"clock two hours on", func(s *Series) { late(s, 4, 200*dayRows, 12) },
			[]wanted{{"clock_shift", "", 200 * dayRows, 52559, 7 * dayRows, 0, "h later than before"}}},
	}
}

// cut takes n rows out.
func cut(s *Series, from, n int) {
	s.Times = append(append([]int64(nil), s.Times[:from]...), s.Times[from+n:]...)
	for i := range s.Channels {
		v := s.Channels[i].Values
		s.Channels[i].Values = append(append([]float64(nil), v[:from]...), v[from+n:]...)
	}
}

// swap exchanges the values of two channels in some rows.
func swap(s *Series, a, b, from, to int) {
	for i := from; i < to; i++ {
		v := &s.Channels[a].Values[i]
		w := &s.Channels[b].Values[i]
		*v, *w = *w, *v
	}
}

// late moves a channel's values some rows later from a row on, as a clock put forward does.
func late(s *Series, channel, from, rows int) {
	v := s.Channels[channel].Values
	copy(v[from+rows:], append([]float64(nil), v[from:len(v)-rows]...))
}

// TestScreenPlanted puts each fault into a clean record: it is found where it is, and nothing else is.
func TestScreenPlanted(t *testing.T) {
	for _, p := range plantedFaults() {
		t.Run(p.name, func(t *testing.T) {
			s := mast(600, 365)
			p.plant(s)
			found := Screen(s)
			if len(found) != len(p.want) {
				t.Fatalf("%d findings instead of %d:\n%s", len(found), len(p.want), listed(found))
			}
			for i := range found {
				if !p.want[i].is(s, &found[i]) {
					t.Errorf("want %+v, found %s", p.want[i], listed(found[i:i+1]))
				}
			}
			checkFlagged(t, s, found)
		})
	}
}

// checkFlagged holds the flags against the findings: as many values carry a rule's flag as it says.
func checkFlagged(t *testing.T, s *Series, found []Finding) {
	t.Helper()
	for _, r := range Rules() {
		for i := range s.Channels {
			want, got := 0, 0
			for _, f := range found {
				if f.Rule == r.Name && f.Index == i && f.Action == ActionFlagged {
					want += f.Count
				}
			}
			for _, f := range s.Channels[i].Flags {
				if f&r.Flag != 0 {
					got++
				}
			}
			if got != want {
				t.Errorf("%s, %s: %d values are flagged, findings say %d", r.Name, s.Channels[i].Name, got, want)
			}
		}
	}
}

func listed(found []Finding) string {
	var b strings.Builder
	for i, f := range found {
		if i == 12 {
			fmt.Fprintf(&b, "  and %d more\n", len(found)-i)
			break
		}
		fmt.Fprintf(&b, "  %s %q %d to %d, %d %s: %s\n", f.Rule, f.Channel, f.FromUnix, f.ToUnix, f.Count, f.Action, f.Detail)
	}
	return b.String()
}

// TestScreenSwappedWithDirection: three months of a speed hold directions, and the other way round. Range and spike flag
// what no speed can be or do, and the report says why.
func TestScreenSwappedWithDirection(t *testing.T) {
	s := mast(600, 365)
	swap(s, 0, 3, 59*dayRows, 151*dayRows)
	reports := 0
	for _, f := range Screen(s) {
		if f.Rule != "swapped_channels" {
			if f.Rule != "range" && f.Rule != "spike" || f.Channel != "speed_a" {
				t.Errorf("%+v", f)
			}
			continue
		}
		reports++
		w := wanted{"swapped_channels", "speed_a", 59 * dayRows, 151*dayRows - 1, 0, 0, "\"vane\" holds what looks like speeds"}
		if !w.is(s, &f) {
			t.Errorf("%+v", f)
		}
	}
	if reports != 1 {
		t.Errorf("%d reports", reports)
	}
}
