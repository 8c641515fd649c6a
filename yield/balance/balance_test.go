package balance

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func weighed(grams ...float64) []Blade {
	out := make([]Blade, len(grams))
	for i, g := range grams {
		out[i] = Blade{g, math.NaN()}
	}
	return out
}

func moments(blades []Blade) []float64 {
	out := make([]float64, len(blades))
	for i, b := range blades {
		out[i] = b.MassG
		if !math.IsNaN(b.CentreM) {
			out[i] *= b.CentreM
		}
	}
	return out
}

// plainSum is the imbalance by definition, without any of the package's means.
func plainSum(m []float64, order []int) float64 {
	x, y := 0.0, 0.0
	for k, i := range order {
		a := 2 * math.Pi * float64(k) / float64(len(order))
		x += m[i] * math.Cos(a)
		y += m[i] * math.Sin(a)
	}
	return math.Hypot(x, y)
}

// everyOrder calls f with every order of n blades.
func everyOrder(n int, f func([]int)) {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	var walk func(k int)
	walk = func(k int) {
		if k == n {
			f(order)
			return
		}
		for i := k; i < n; i++ {
			order[k], order[i] = order[i], order[k]
			walk(k + 1)
			order[k], order[i] = order[i], order[k]
		}
	}
	walk(0)
}

func drawBlades(t *rapid.T, least, most int) []Blade {
	n := rapid.IntRange(least, most).Draw(t, "n")
	coarse := rapid.Bool().Draw(t, "whole grams") // so that twins come up
	known := rapid.Bool().Draw(t, "centres known")
	out := make([]Blade, n)
	for i := range out {
		out[i].CentreM = math.NaN()
		if coarse {
			out[i].MassG = float64(rapid.IntRange(196, 204).Draw(t, "g"))
		} else {
			out[i].MassG = rapid.Float64Range(150, 250).Draw(t, "g")
		}
		if known {
			out[i].CentreM = rapid.Float64Range(0.4, 0.6).Draw(t, "m")
		}
	}
	return out
}

func arrange(t rapid.TB, blades []Blade) Result {
	t.Helper()
	r, err := Arrange(blades)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The order found is the best of all there are, tried one by one.
func TestEveryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		blades := drawBlades(t, 2, 7)
		m := moments(blades)
		r := arrange(t, blades)
		best := math.Inf(1)
		everyOrder(len(m), func(order []int) { best = min(best, plainSum(m, order)) })
		if math.Abs(r.ImbalanceGM-best) > 1e-9 || math.Abs(plainSum(m, r.Order)-best) > 1e-9 {
			t.Fatalf("%v: %v leaves %g (by hand %g), the best of all leaves %g", m, r.Order, r.ImbalanceGM, plainSum(m, r.Order), best)
		}
	})
}

func TestEveryOrderOfEightAndNine(t *testing.T) {
	for _, m := range [][]float64{
		{201, 199, 204, 197.5, 202.2, 198.7, 200.1, 203.4}, {260, 199, 204, 197.5, 202.2, 198.7, 200.1, 203.4},
		{201, 199, 204, 197.5, 202.2, 198.7, 200.1, 203.4, 195.9}, {160, 199, 204, 197.5, 202.2, 198.7, 200.1, 203.4, 195.9},
	} {
		n := len(m)
		r := arrange(t, weighed(m...))
		best := math.Inf(1)
		order := make([]int, n)
		everyOrder(n-1, func(others []int) { // the first blade may stay where it is
			for k, i := range others {
				order[k+1] = i + 1
			}
			best = min(best, plainSum(m, order))
		})
		if math.Abs(r.ImbalanceGM-best) > 1e-9 {
			t.Errorf("%d blades: leaves %g, the best of all orders %g", n, r.ImbalanceGM, best)
		}
	}
}

// Common practice of blade builders, from memory: with masses close together, alternate blades lighter and heavier than the
// average, and put the most different pair opposite each other. The exact order is never worse.
func TestCommonPractice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := 2 * rapid.IntRange(1, 6).Draw(t, "pairs")
		m := make([]float64, n)
		for i := range m {
			m[i] = rapid.Float64Range(195, 205).Draw(t, "g")
		}
		r := arrange(t, weighed(m...))
		practice := byPractice(m)
		if got, rule := r.ImbalanceGM, plainSum(m, practice); got > rule+1e-9 {
			t.Fatalf("%v: exact order leaves %g, practice %g", m, got, rule)
		}
		if r.ImbalanceGM > r.AsGivenGM+1e-9 {
			t.Fatalf("worse than as given: %g, %g", r.ImbalanceGM, r.AsGivenGM)
		}
	})
}

// byPractice alternates the heavier half with the lighter. Where that puts a heavy one opposite a light one, the most
// different pair comes first; the rest follow down from it.
func byPractice(m []float64) []int {
	n := len(m)
	sorted := make([]int, n)
	for i := range sorted {
		sorted[i] = i
	}
	slices.SortFunc(sorted, func(a, b int) int {
		if m[a] < m[b] {
			return -1
		}
		return 1
	})
	light, heavy := sorted[:n/2], slices.Clone(sorted[n/2:])
	slices.Reverse(heavy)
	order := make([]int, n)
	taken := make([]bool, n)
	put := func(p int, queue *[]int) {
		if !taken[p] {
			order[p], *queue, taken[p] = (*queue)[0], (*queue)[1:], true
		}
	}
	for k := range n / 2 {
		p := 2 * k % n
		opposite := (p + n/2) % n
		put(p, &heavy)
		if opposite%2 == 1 { // heavy and light face each other
			put(opposite, &light)
		}
	}
	for p := range n {
		if p%2 == 1 {
			put(p, &light)
		} else {
			put(p, &heavy)
		}
	}
	return order
}

// Of six blades that step up evenly, practice leaves nothing that matters, and the exact order nothing at all: opposite
// pairs that differ alike cancel at 120°.
func TestSixEvenSteps(t *testing.T) {
	r := arrange(t, weighed(201, 199, 204, 200, 202, 203))
	if r.ImbalanceGM != 0 || !math.IsNaN(r.DirectionDeg) || len(r.Lighten) != 0 || r.Counter.GM != 0 {
		t.Errorf("%+v", r)
	}
	if r.Order[0] != 0 || r.Order[1] > r.Order[5] {
		t.Errorf("order %v does not start with the first blade and go on with its lower neighbour", r.Order)
	}
}

func TestEqualBlades(t *testing.T) {
	for n := MinBlades; n <= MaxBlades; n++ {
		masses := make([]float64, n)
		for i := range masses {
			masses[i] = 187.3
		}
		if r := arrange(t, weighed(masses...)); r.ImbalanceGM != 0 || r.AsGivenGM != 0 || r.Force(500) != 0 {
			t.Errorf("%d equal blades leave %g", n, r.ImbalanceGM)
		}
	}
}

// Two and three blades by hand: the difference of two; of three, √(a²+b²+c²−ab−bc−ca), whatever the order.
func TestByHand(t *testing.T) {
	r := arrange(t, []Blade{{500, 0.4}, {510, 0.4}})
	if math.Abs(r.ImbalanceGM-4) > 1e-12 || math.Abs(r.DirectionDeg-180) > 1e-9 || len(r.Lighten) != 1 || r.Lighten[0].Blade != 1 ||
		math.Abs(r.Lighten[0].MassAt(0.8)-5) > 1e-12 {
		t.Errorf("two blades: %+v", r)
	}
	a, b, c := 300.0, 310.0, 325.0
	r = arrange(t, weighed(a, b, c))
	if want := math.Sqrt(a*a + b*b + c*c - a*b - b*c - c*a); math.Abs(r.ImbalanceGM-want) > 1e-10 {
		t.Errorf("three blades leave %g, want %g", r.ImbalanceGM, want)
	}
}

// F = m·r·ω²: 100 g at 1 m and 300 rpm (31.416 rad/s) is 98.70 N, a textbook circle. Balance grade: G 6.3 at 3000 rpm allows
// 20.05 g·mm per kg (ISO 21940-11, from memory), and so 20.05 µm.
func TestForce(t *testing.T) {
	if f := (Result{ImbalanceGM: 100}).Force(300); math.Abs(f-98.696) > 5e-4 {
		t.Errorf("force %g N", f)
	}
	if g := (Result{ImbalanceGM: 20.05e-3, TotalG: 1000}).BalanceGrade(3000); math.Abs(g-6.3) > 2e-3 {
		t.Errorf("grade %g mm/s", g)
	}
}

// Taking off what Lighten says, or adding the counterweight, leaves nothing.
func TestCorrections(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		blades := drawBlades(t, 2, 12)
		r := arrange(t, blades)
		m := moments(blades)
		left := slices.Clone(m)
		for _, trim := range r.Lighten {
			if trim.GM < 0 {
				t.Fatalf("takes off less than nothing: %+v", trim)
			}
			left[trim.Blade] -= trim.GM
		}
		if rest := plainSum(left, r.Order); rest > 1e-8 {
			t.Fatalf("%v lightened by %v still leaves %g", m, r.Lighten, rest)
		}
		x, y := 0.0, 0.0
		for k, i := range r.Order {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(len(m)))
			x, y = x+m[i]*cos, y+m[i]*sin
		}
		if r.Counter.GM > 0 {
			sin, cos := math.Sincos(r.Counter.AngleDeg * math.Pi / 180)
			x, y = x+r.Counter.GM*cos, y+r.Counter.GM*sin
		}
		if math.Hypot(x, y) > 1e-8 {
			t.Fatalf("the counterweight leaves %g", math.Hypot(x, y))
		}
		at, want := r.Counter.MassAt(0.5), r.ImbalanceGM/0.5
		if r.Counter.GM > 0 && (r.CentreKnown && math.Abs(at-want) > 1e-9 || !r.CentreKnown && !math.IsNaN(at)) {
			t.Fatalf("mass at 0.5 m: %g", at)
		}
		for _, trim := range r.Lighten {
			lost := trim.MassAtCentre()
			if r.CentreKnown {
				lost *= blades[trim.Blade].CentreM
			}
			if math.Abs(lost-trim.GM) > 1e-9 || math.IsNaN(trim.MassAt(1)) == r.CentreKnown {
				t.Fatalf("%+v takes off %g g at its centre and %g g at 1 m", trim, trim.MassAtCentre(), trim.MassAt(1))
			}
		}
	})
}

// Blades handed in turned, mirrored or shuffled, or weighed in other units, come out as well balanced.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		blades := drawBlades(t, 3, 9)
		r := arrange(t, blades)
		by := rapid.IntRange(1, len(blades)-1).Draw(t, "turn")
		turned := append(slices.Clone(blades[by:]), blades[:by]...)
		mirrored := slices.Clone(blades)
		slices.Reverse(mirrored)
		shuffled := rapid.Permutation(blades).Draw(t, "shuffled")
		for _, other := range [][]Blade{turned, mirrored, shuffled} {
			o := arrange(t, other)
			if math.Abs(o.ImbalanceGM-r.ImbalanceGM) > 1e-9 {
				t.Fatalf("%g and %g", o.ImbalanceGM, r.ImbalanceGM)
			}
		}
		if a, b := arrange(t, turned).AsGivenGM, arrange(t, mirrored).AsGivenGM; math.Abs(a-r.AsGivenGM) > 1e-9 || math.Abs(b-r.AsGivenGM) > 1e-9 {
			t.Fatal("turning or mirroring the blades changes their imbalance")
		}
		heavier := slices.Clone(blades)
		for i := range heavier {
			heavier[i].MassG += 37 // alike in all: with equal centres it cancels
			if r.CentreKnown {
				heavier[i].MassG = blades[i].MassG * 3
			}
		}
		want := r.ImbalanceGM
		if r.CentreKnown {
			want *= 3
		}
		if o := arrange(t, heavier); math.Abs(o.ImbalanceGM-want) > 1e-8 {
			t.Fatalf("%g, want %g", o.ImbalanceGM, want)
		}
	})
}

func TestFaults(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name   string
		blades []Blade
		index  int
		field  string
	}{
		{"none", nil, -1, "blades"}, {"one", weighed(200), -1, "blades"}, {"thirteen", make([]Blade, 13), -1, "blades"},
		{"no mass", weighed(200, nan, 200), 1, "mass"}, {"negative", weighed(200, 200, -1), 2, "mass"}, {"infinite", weighed(math.Inf(1), 1), 0, "mass"},
		{"some centres", []Blade{{200, 0.5}, {200, nan}}, 1, "centre"}, {"other centres", []Blade{{200, nan}, {200, 0.5}}, 1, "centre"},
		{"centimetres", []Blade{{200, 0.45}, {200, 45}}, 1, "centre"}, {"zero", []Blade{{200, 0}, {200, 0.4}}, 0, "centre"},
	} {
		_, err := Arrange(c.blades)
		var fault *Fault
		if !errors.As(err, &fault) || fault.Index != c.index || fault.Field != c.field {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// The lever law: 5 g at 0.4 m weigh as much about the axis as 1.667 g at 1.2 m. Without the centres nothing can be said of the tip.
func TestTrimAtTheTip(t *testing.T) {
	unknown := arrange(t, weighed(201, 199, 204)).Lighten[0]
	if unknown.Blade != 2 || math.Abs(unknown.MassAtCentre()-5) > 1e-9 || !math.IsNaN(unknown.MassAt(1.2)) {
		t.Errorf("%+v: %g g at its centre, %g g at the tip", unknown, unknown.MassAtCentre(), unknown.MassAt(1.2))
	}
	known := arrange(t, []Blade{{201, 0.4}, {199, 0.4}, {204, 0.4}}).Lighten[0]
	if known.Blade != 2 || math.Abs(known.MassAtCentre()-5) > 1e-9 || math.Abs(known.MassAt(1.2)-5*0.4/1.2) > 1e-9 {
		t.Errorf("%+v: %g g at its centre, %g g at the tip", known, known.MassAtCentre(), known.MassAt(1.2))
	}
}

func TestWarnings(t *testing.T) {
	codes := func(r Result) (out []string) {
		for _, w := range r.Warnings {
			out = append(out, w.Code)
		}
		return out
	}
	for _, c := range []struct {
		blades []Blade
		want   []string
	}{
		{[]Blade{{200, 0.5}, {201, 0.5}, {202, 0.5}}, nil},
		{weighed(0.201, 0.2, 0.2), []string{"grams_not_kg", "centre_unknown"}}, {weighed(2.01, 2, 2), []string{"grams_not_kg", "centre_unknown"}},
		{weighed(200, 201, 199, 200, 202), []string{"odd_blade_count", "centre_unknown"}},
		{[]Blade{{200, 0.5}, {210, 0.5}}, []string{"blades_unequal"}},
	} {
		if got := codes(arrange(t, c.blades)); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.blades, got, c.want)
		}
	}
}

func ExampleArrange() {
	var blades []Blade
	for _, grams := range []float64{201.2, 198.7, 206.1, 197.4, 202.3, 203.9} {
		blades = append(blades, Blade{MassG: grams, CentreM: 0.45})
	}
	r, err := Arrange(blades)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print("clockwise")
	for _, i := range r.Order {
		fmt.Printf(" %g", blades[i].MassG)
	}
	fmt.Printf("\nleft %.2f g·m, %.2f N at 400 rpm; as given %.2f g·m\n", r.ImbalanceGM, r.Force(400), r.AsGivenGM)
	for _, trim := range r.Lighten {
		fmt.Printf("take %.1f g off the blade of %g g at 0.9 m\n", trim.MassAt(0.9), blades[trim.Blade].MassG)
	}
	// Output:
	// clockwise 201.2 202.3 198.7 206.1 197.4 203.9
	// left 0.14 g·m, 0.24 N at 400 rpm; as given 0.68 g·m
	// take 0.2 g off the blade of 203.9 g at 0.9 m
}

func BenchmarkArrange(b *testing.B) {
	masses := []float64{201.13, 199.72, 204.41, 197.95, 202.28, 198.37, 200.64, 203.19, 196.83, 205.06, 199.11, 201.87}
	far := []float64{211.13, 159.72, 244.41, 187.95, 202.28, 298.37, 270.64, 233.19, 176.83, 225.06, 149.11, 251.87}
	one := append([]float64{302}, masses[1:]...) // the search can cut off least here
	for name, m := range map[string][]float64{"12 one apart": one, "6": masses[:6], "9": masses[:9], "11": masses[:11], "12": masses, "12 far apart": far} {
		b.Run(name, func(b *testing.B) {
			blades := weighed(m...)
			for b.Loop() {
				if _, err := Arrange(blades); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
