package terrain

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"mastworth/resource"
)

func patch(from, to float64) Patch {
	return Patch{FromDeg: from, ToDeg: to, Ground: town, ChangeAtM: nan}
}

func TestFaults(t *testing.T) {
	changed := func(at float64, beyond *resource.Ground) Patch {
		p := patch(0, 90)
		p.ChangeAtM, p.Beyond = at, beyond
		return p
	}
	rough := resource.Ground{RoughnessM: 6, DisplacementM: 61}
	for name, c := range map[string]struct {
		g     Grounds
		index int
		field string
		says  []string
	}{
		"not a direction":   {Grounds{grass, []Patch{patch(10, 361)}}, 0, "to_deg", []string{"361", "0 to 360"}},
		"unknown direction": {Grounds{grass, []Patch{patch(nan, 20)}}, 0, "from_deg", []string{"NaN"}},
		"below north":       {Grounds{grass, []Patch{patch(-10, 20)}}, 0, "from_deg", []string{"-10"}},
		"empty":             {Grounds{grass, []Patch{patch(90, 90)}}, 0, "to_deg", []string{"90°", "empty", "0 to 360"}},
		"empty at north":    {Grounds{grass, []Patch{patch(360, 0)}}, 0, "to_deg", []string{"empty"}},
		"at the foot":       {Grounds{grass, []Patch{changed(0, nil)}}, 0, "change_at_m", []string{"0 m"}},
		"too far":           {Grounds{grass, []Patch{changed(20001, nil)}}, 0, "change_at_m", []string{"20001 m", "20000 m"}},
		"endless":           {Grounds{grass, []Patch{changed(math.Inf(1), nil)}}, 0, "change_at_m", []string{"Inf"}},
		"beyond nothing":    {Grounds{grass, []Patch{changed(nan, &town)}}, 0, "change_at_m", []string{"how far"}},
		"rough everywhere":  {Grounds{resource.Ground{}, nil}, -1, "roughness_m", []string{"0 m"}},
		"rough patch":       {Grounds{grass, []Patch{{0, 90, resource.Ground{RoughnessM: nan}, nan, nil}}}, 0, "roughness_m", []string{"NaN"}},
		"deep patch":        {Grounds{grass, []Patch{{0, 90, resource.Ground{RoughnessM: 1, DisplacementM: -1}, nan, nil}}}, 0, "displacement_m", []string{"-1 m"}},
		"rough beyond":      {Grounds{grass, []Patch{changed(10, &resource.Ground{RoughnessM: 6})}}, 0, "beyond.roughness_m", []string{"6 m", "5 m"}},
		"overlap":           {Grounds{grass, []Patch{patch(330, 30), patch(20, 90)}}, 1, "from_deg", []string{"[0] (330° to 30°)", "[1] (20° to 90°)", "from 20° to 30°"}},
		"overlap at north":  {Grounds{grass, []Patch{patch(5, 30), patch(300, 10)}}, 1, "from_deg", []string{"from 5° to 10°"}},
		"inside another":    {Grounds{grass, []Patch{patch(0, 360), patch(300, 360)}}, 1, "from_deg", []string{"from 300° to 360°"}},
		"too many":          {Grounds{grass, make([]Patch, 361)}, -1, "", []string{"361"}},
	} {
		faults := c.g.Faults()
		if len(faults) != 1 || faults[0].Index != c.index || faults[0].Field != c.field {
			t.Errorf("%s: %v", name, faults)
			continue
		}
		for _, says := range c.says {
			if !strings.Contains(faults[0].Reason, says) {
				t.Errorf("%s: %q does not say %q", name, faults[0].Reason, says)
			}
		}
		_, err := Prepare(c.g)
		is(t, err, ErrGrounds)
	}
	if f := (Grounds{grass, []Patch{changed(10, &rough)}}).Faults(); len(f) != 2 {
		t.Errorf("both walls: %v", f)
	}
	if f := (Grounds{grass, []Patch{patch(10, 200), patch(190, 20)}}).Faults(); len(f) != 2 {
		t.Errorf("overlaps at both ends: %v", f)
	}
	good := Grounds{grass, []Patch{patch(330, 30), patch(30, 90), patch(360, 0.1)}}
	if f := good.Faults(); len(f) != 1 {
		t.Errorf("north by another name: %v", f)
	}
	for f, want := range map[Fault]string{
		{2, "from_deg", "is wrong"}: "[2].from_deg: is wrong", {-1, "roughness_m", "is wrong"}: "everywhere, roughness_m: is wrong", {-1, "", "all wrong"}: "all wrong",
	} {
		if f.String() != want {
			t.Errorf("%q, want %q", f, want)
		}
	}
}

func TestGaps(t *testing.T) {
	for name, c := range map[string]struct {
		patches []Patch
		want    [][2]float64
	}{
		"none":        {nil, nil},
		"whole":       {[]Patch{patch(0, 360)}, nil},
		"closed":      {[]Patch{patch(30, 300), patch(300, 30)}, nil},
		"after north": {[]Patch{patch(30, 360)}, [][2]float64{{0, 30}}},
		"to north":    {[]Patch{patch(0, 350)}, [][2]float64{{350, 360}}},
		"over north":  {[]Patch{patch(100, 350), patch(30, 90)}, [][2]float64{{90, 100}, {350, 30}}},
		"one":         {[]Patch{patch(330, 30)}, [][2]float64{{30, 330}}},
		"overlapping": {[]Patch{patch(0, 180), patch(10, 20), patch(170, 200)}, [][2]float64{{200, 360}}},
		"faulty":      {[]Patch{patch(nan, 20), patch(10, 10)}, nil},
	} {
		if got := (Grounds{grass, c.patches}).Gaps(); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// TestGapsAreNotCovered counts degree by degree what patches and gaps cover; every degree is in just one.
func TestGapsAreNotCovered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawRound(t)
		if f := g.Faults(); len(f) > 0 {
			t.Fatal(f)
		}
		if len(g.Patches) == 0 {
			return
		}
		gaps := g.Gaps()
		for deg := 0.5; deg < 360; deg++ {
			n := 0
			for _, p := range g.Patches {
				if clockwise(p.FromDeg, deg) < spanDeg(p.FromDeg, p.ToDeg) {
					n++
				}
			}
			for _, gap := range gaps {
				if clockwise(gap[0], deg) < spanDeg(gap[0], gap[1]) {
					n++
				}
			}
			if n != 1 {
				t.Fatalf("%g° is in %d of %v and gaps %v", deg, n, g.Patches, gaps)
			}
		}
	})
}

// TestSharesFillTheRound: the parts of every direction add up to 1, whatever the borders.
func TestSharesFillTheRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := Grounds{Everywhere: grass, Patches: []Patch{
			patch(rapid.Float64Range(0, 360).Draw(t, "from"), rapid.Float64Range(0, 360).Draw(t, "to")),
		}}
		p, err := Prepare(g)
		if err != nil {
			t.Skip(err)
		}
		covered := 0.0
		for _, mix := range p.mixes {
			sum := 0.0
			for _, s := range mix {
				sum += s.part
				if p.profiles[s.profile].ground == town {
					covered += s.part * directionDeg
				}
			}
			near(t, "sum", sum, 1, 1e-14)
		}
		near(t, "covered", covered, spanDeg(g.Patches[0].FromDeg, g.Patches[0].ToDeg), 1e-8)
	})
}
