package shelter

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func judged(t testing.TB, list []Siting, rule string) Siting {
	t.Helper()
	i := slices.IndexFunc(list, func(s Siting) bool { return s.Rule == rule })
	if i < 0 {
		t.Fatalf("no rule %s", rule)
	}
	return list[i]
}

// TestJudgeSiting: the published rules worked by hand, 1 ft = 0.3048 m, for a barn 8 m high 80 m away, a wood 15 m high
// 140 m away, a row of poplars 20 m high 250 m away that grows 0.5 m a year, and a rotor of 6 m on an 18 m tower.
func TestJudgeSiting(t *testing.T) {
	obstacles := []Obstacle{
		{Name: "barn", BearingDeg: 0, DistanceM: 80, HeightM: 8, WidthM: 20},
		{Name: "wood", BearingDeg: 90, DistanceM: 140, HeightM: 15, WidthM: 60, Porosity: 0.4},
		{Name: "poplars", BearingDeg: 180, DistanceM: 250, HeightM: 20, WidthM: 60, Porosity: 0.4, GrowthMPerYear: 0.5},
	}
	list := JudgeSiting(obstacles, 18, 6, 20)
	for _, c := range []struct {
		rule   string
		lowest float64
		by     []int
	}{
		{"disturbed_zone", 2*30 + 3, []int{0, 1, 2}}, // 250 m < 20·30 m, 140 < 300, 80 < 160
		{"three_heights", 3*15 + 3, []int{0, 1}},     // poplars stand beyond 152.4 m
		{"rotor_above_500_ft", 15 + 9.144 + 3, []int{0, 1}},
		{"hub_above_500_ft", 15 + 9.144, []int{1}}, // the barn asks for 17.144
		{"hub_above_300_ft", 8 + 10.668, []int{0}}, // the wood stands beyond 91.44 m
	} {
		s := judged(t, list, c.rule)
		near(t, c.rule, s.LowestHubM, c.lowest, 1e-9)
		if !s.Broken || !slices.Equal(s.By, c.by) {
			t.Errorf("%s: broken %t by %v, want by %v", c.rule, s.Broken, s.By, c.by)
		}
	}
	for i, rule := range []string{"disturbed_zone", "three_heights", "rotor_above_500_ft", "hub_above_500_ft", "hub_above_300_ft"} {
		if list[i].Rule != rule {
			t.Errorf("place %d has %s, not %s", i, list[i].Rule, rule)
		}
	}
}

// TestSitingEdges: at the lowest hub a rule is kept; nothing within reach asks for nothing; the rotor may be unknown.
func TestSitingEdges(t *testing.T) {
	barn := []Obstacle{{DistanceM: 300 * 0.3048, HeightM: 8, WidthM: 20}}
	if s := judged(t, JudgeSiting(barn, 18, 6, 0), "hub_above_300_ft"); !s.Broken {
		t.Error("300 ft is within 300 ft")
	}
	barn[0].DistanceM = 160 // exactly 20 H: the zone has ended
	for _, s := range JudgeSiting(barn, 1, 6, 0) {
		if s.Broken || s.LowestHubM != 0 || s.By != nil {
			t.Errorf("%s is broken by what is out of its reach", s.Rule)
		}
	}
	barn[0].DistanceM = 50
	list := JudgeSiting(barn, 30, math.NaN(), 0)
	if s := judged(t, list, "three_heights"); !math.IsNaN(s.LowestHubM) || s.Broken {
		t.Errorf("%+v", s)
	}
	near(t, "by the hub", judged(t, list, "hub_above_500_ft").LowestHubM, 17.144, 1e-9)
	for _, s := range JudgeSiting(nil, 1, 6, 0) {
		if s.Broken {
			t.Error("broken by nothing")
		}
	}
}

func TestSitingLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		obstacles := rapid.SliceOfN(rapid.Custom(drawObstacle), 0, 8).Draw(t, "obstacles")
		rotor := rapid.Float64Range(1, 15).Draw(t, "rotor")
		list := JudgeSiting(obstacles, 10, rotor, 15)
		if len(list) != len(SitingRules()) {
			t.Fatalf("%d rules", len(list))
		}
		for i, s := range list {
			if i > 0 && s.LowestHubM > list[i-1].LowestHubM {
				t.Fatal("not strictest first")
			}
			at := func(hub float64) bool { return findRule(JudgeSiting(obstacles, hub, rotor, 15), s.Rule).Broken }
			if at(s.LowestHubM) {
				t.Fatalf("%s is broken at the height that satisfies it", s.Rule)
			}
			if s.LowestHubM > 0 && !at(math.Nextafter(s.LowestHubM, 0)) {
				t.Fatalf("%s is kept lower than at its lowest", s.Rule)
			}
			if s.Broken != (10 < s.LowestHubM) {
				t.Fatalf("%s: broken %t at 10 m, lowest %g", s.Rule, s.Broken, s.LowestHubM)
			}
		}
	})
}

func findRule(list []Siting, rule string) Siting {
	return list[slices.IndexFunc(list, func(s Siting) bool { return s.Rule == rule })]
}

// TestSitingRules: each rule has its words and source, and names differ; the list is a copy.
func TestSitingRules(t *testing.T) {
	rules := SitingRules()
	seen := map[string]bool{}
	for _, r := range rules {
		if r.Name == "" || r.Words == "" || r.Source == "" || seen[r.Name] || (r.WithinM > 0) == (r.WithinHeights > 0) {
			t.Errorf("%+v", r)
		}
		seen[r.Name] = true
	}
	rules[0].Name = "changed"
	if SitingRules()[0].Name == "changed" {
		t.Error("the caller can change the rules")
	}
}
