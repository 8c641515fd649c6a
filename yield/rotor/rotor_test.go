package rotor

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"mastworth/yield"

	"pgregory.net/rapid"
)

// anyRotor draws rotors that can be built, from two slender blades to twelve broad boards that cover more than the disc.
func anyRotor(t *rapid.T) Rotor {
	blades := rapid.IntRange(1, 12).Draw(t, "blades")
	radius := rapid.Float64Range(0.3, 10).Draw(t, "radius")
	root := radius * rapid.Float64Range(0.02, 0.6).Draw(t, "root")
	tipSetting := rapid.Float64Range(-1, 60).Draw(t, "tip")
	rootSetting := tipSetting + rapid.Float64Range(0, 85-tipSetting).Draw(t, "twist")
	room := func(r, setting float64) float64 {
		return 2 * math.Pi * r / float64(blades) / math.Cos(setting*math.Pi/180)
	}
	share := rapid.Float64Range(0.02, 1).Draw(t, "share")
	chord := share * room(root, rootSetting) * 0.99
	tipChord := chord * rapid.Float64Range(0.3, 1).Draw(t, "taper")
	r := Rotor{DiameterM: 2 * radius, HubDiameterM: 2 * root, Blades: blades,
		Stations: []Station{{root, min(chord, radius), rootSetting}, {radius, min(tipChord, radius), tipSetting}}}
	switch rapid.IntRange(0, 3).Draw(t, "section") {
	case 0:
		r.Section = FlatPlate()
	case 1:
		r.Section, _ = CurvedPlate(0.06)
	case 2:
		r.Section = S809()
	case 3:
		r.Section = FlatUnderside()
	}
	return r
}

// Every rotor is solved at every tip-speed ratio: each ring's balance holds, nothing is NaN, no rotor passes Betz's limit
// or takes more than its thrust times the wind.
func TestEveryRotorIsSolved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, err := New(anyRotor(t))
		if err != nil {
			t.Skip(err)
		}
		lambda := rapid.OneOf(rapid.Float64Range(0, 15), rapid.Just(0.0), rapid.Float64Range(0, 0.01), rapid.Float64Range(15, 500)).Draw(t, "λ")
		l := p.At(7, lambda*7/p.radiusM, 1.225, 0)
		if math.IsNaN(l.Cp+l.Cq+l.Ct+l.PowerW+l.TorqueNm+l.ThrustN) || math.IsInf(l.Cp+l.Ct, 0) {
			t.Fatalf("λ = %g: %+v", lambda, l)
		}
		if l.Cp > yield.BetzLimit || l.Cp > l.Ct+1e-9 {
			t.Fatalf("λ = %g: %+v", lambda, l)
		}
		for i := range p.elements {
			s := state{e: &p.elements[i], section: p.section, polar: p.polar, lambda: lambda * p.elements[i].radius}
			for _, guess := range []float64{0.01, 0.3, 1.2} {
				if f := s.solve(guess); !(math.Abs(f.residual) < 1e-6*(1+lambda)) || !(f.stretched > 0) {
					t.Fatalf("ring %d at λ = %g: %+v", i, lambda, f)
				}
			}
		}
	})
}

// Loads follow density and size: with the same Reynolds number, torque goes with ρD³ and thrust with ρD².
func TestLoadsScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRotor(t)
		p, err := New(r)
		if err != nil {
			t.Skip(err)
		}
		k := rapid.Float64Range(0.5, 2).Draw(t, "k")
		big := r
		big.DiameterM, big.HubDiameterM = k*r.DiameterM, k*r.HubDiameterM
		big.Stations = nil
		for _, s := range r.Stations {
			big.Stations = append(big.Stations, Station{k * s.RadiusM, k * s.ChordM, s.TwistDeg})
		}
		q, err := New(big)
		if err != nil {
			t.Skip(err)
		}
		lambda := rapid.Float64Range(0, 10).Draw(t, "λ")
		a := p.At(6, lambda*6/p.radiusM, 1, 1.8e-5)
		b := q.At(6, lambda*6/q.radiusM, 1.3, 1.8e-5*1.3*k)
		if tol := 1e-6 * (math.Abs(a.Cq) + 0.01); math.Abs(a.Cq-b.Cq) > tol || math.Abs(b.TorqueNm-a.TorqueNm*1.3*k*k*k) > 1e-5*(math.Abs(b.TorqueNm)+1) {
			t.Fatalf("%+v, %v times as big %+v", a, k, b)
		}
	})
}

// A standing rotor of few slender boards hardly slows the air, and its torque is that of plates in the free wind: at a
// setting of 30° the air meets them at 60°.
func TestStandstill(t *testing.T) {
	r := Board(2, 0.4, 2, 0.02, 0.02, 30)
	p := prepared(t, r)
	cl, _ := FlatPlate().WithAspectRatio(p.AspectRatio()).Coefficients(math.Pi/3, 0.02*6*1.225/AirViscosityPaS)
	want := 0.5 * 1.225 * 36 * 2 * 0.02 * cl * (1 - 0.04) / 2 // ∫ r dr from 0.2 to 1
	near(t, "torque of a standing rotor", p.At(6, 0, 1.225, 0).TorqueNm, want, -0.03)
}

// Six boards so broad that they cover the disc and more are solved, and a setting of 30° makes a slow rotor with a strong
// start. Multi-bladed water pumpers work about λ = 1 at Cp 0.15 to 0.30 (from memory).
func TestSixBroadBoards(t *testing.T) {
	p := prepared(t, Board(2, 0.2, 6, 0.12, 1.2, 30))
	if p.Solidity() < 1 {
		t.Fatalf("solidity %g", p.Solidity())
	}
	table := p.Table(5, 1.225)
	cp, lambda := table.MaxCp()
	if cp < 0.1 || cp > 0.35 || lambda < 0.5 || lambda > 1.5 || table.Standstill() < 0.05 {
		t.Errorf("Cp %.3f at λ = %.2f, standstill %.3f", cp, lambda, table.Standstill())
	}
}

func TestArguments(t *testing.T) {
	p := prepared(t, Board(2, 0.4, 3, 0.15, 0.1, 8))
	if l := p.At(0, 0, 1.2, 0); l != (Loads{}) {
		t.Errorf("still rotor in still air: %+v", l)
	}
	if l := p.At(0, 20, 1.2, 0); !(l.TorqueNm < 0) || l.Cp != 0 {
		t.Errorf("rotor turned in still air: %+v", l)
	}
	for _, l := range []Loads{p.At(math.NaN(), 1, 1.2, 0), p.At(-1, 1, 1.2, 0), p.At(5, -1, 1.2, 0), p.At(5, 1, 0, 0), p.At(5, 1, 1.2, -1),
		p.At(math.Inf(1), 1, 1.2, 0)} {
		if !math.IsNaN(l.Cp) {
			t.Errorf("%+v", l)
		}
	}
	if table := p.Table(math.NaN(), 1.2); !math.IsNaN(table.Cp(3)) || !math.IsNaN(table.Runaway()) {
		t.Error("a table without wind is known")
	}
}

func TestFaults(t *testing.T) {
	good := Board(2, 0.4, 3, 0.15, 0.1, 8)
	if err := good.Validate(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		field string
		index int
		says  string
		spoil func(*Rotor)
	}{
		{"diameter", -1, "above 0", func(r *Rotor) { r.DiameterM = math.NaN() }},
		{"hub", -1, "nine tenths", func(r *Rotor) { r.HubDiameterM = 1.9 }},
		{"blades", -1, "1 to 24", func(r *Rotor) { r.Blades = 25 }},
		{"section", -1, "need a section", func(r *Rotor) { r.Section = nil }},
		{"stations", -1, "2 to 500", func(r *Rotor) { r.Stations = r.Stations[:1] }},
		{"elements", -1, "1 to 500", func(r *Rotor) { r.Elements = -1 }},
		{"pitch", -1, "−90 to 90", func(r *Rotor) { r.PitchDeg = 100 }},
		{"radius", 1, "is it a diameter", func(r *Rotor) { r.Stations[1].RadiusM = 2 }},
		{"radius", 1, "does not rise", func(r *Rotor) { r.Stations[1].RadiusM = 0.2 }},
		{"radius", 1, "the tip is at 1 m", func(r *Rotor) { r.Stations[1].RadiusM = 0.8 }},
		{"chord", 0, "above 0", func(r *Rotor) { r.Stations[0].ChordM = -0.1 }},
		{"chord", -1, "the circumference leaves 0.419 m", func(r *Rotor) { r.Stations[0].ChordM = 0.5 }},
		{"twist", -1, "change the sign", func(r *Rotor) { r.PitchDeg = 0; r.Stations[0].TwistDeg, r.Stations[1].TwistDeg = -20, -3 }},
		{"twist", 0, "−90 to 90", func(r *Rotor) { r.Stations[0].TwistDeg = 89 }},
	} {
		r := good
		r.Stations = append([]Station(nil), good.Stations...)
		c.spoil(&r)
		_, err := New(r)
		var fault *Fault
		if !errors.As(err, &fault) || fault.Field != c.field || fault.Index != c.index || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.says, err)
		}
	}
}

func TestWarnings(t *testing.T) {
	r := Rotor{DiameterM: 2, HubDiameterM: 0.4, Blades: 2, Stations: []Station{{0.2, 0.1, -1}, {1, 0.1, 4}}, Section: S809()}
	var codes []string
	for _, w := range prepared(t, r).Warnings(6, 5) {
		codes = append(codes, w.Code)
	}
	if got := strings.Join(codes, " "); got != "twist_rises twist_below_zero reynolds_far" {
		t.Errorf("warnings: %s", got)
	}
	if w := prepared(t, Board(2, 0.4, 3, 0.15, 0.1, 8)).Warnings(6, 5); len(w) > 0 {
		t.Errorf("a plain board: %v", w)
	}
}

func TestTable(t *testing.T) {
	for _, r := range []Rotor{Board(2, 0.6, 6, 0.15, 0.15, 20), Board(2, 0.4, 3, 0.15, 0.1, 5), Board(2, 0.6, 12, 0.15, 0.15, 30)} {
		p := prepared(t, r)
		table := p.Table(6, 1.225)
		cp, best := table.MaxCp()
		highest := 0.0
		for _, lambda := range table.Lambdas(200) {
			l := p.Characteristic(6, 1.225, []float64{lambda})[0]
			near(t, fmt.Sprintf("Cp at λ = %g", lambda), table.Cp(lambda), l.Cp, 0.02*cp)
			near(t, fmt.Sprintf("Ct at λ = %g", lambda), table.Ct(lambda), l.Ct, 0.02)
			highest = max(highest, l.Cp)
		}
		near(t, "highest Cp", cp, highest, -0.01)
		near(t, "Cp at its best", table.Cp(best), cp, 1e-12)
		near(t, "torque at runaway", p.Characteristic(6, 1.225, []float64{table.Runaway()})[0].Cq, 0, 1e-5)
		near(t, "standstill", table.Standstill(), p.At(6, 0, 1.225, 0).Cq, 1e-12)
		if table.Cq(table.Runaway()*2) >= 0 {
			t.Error("torque past runaway")
		}
	}
	blunt := Board(2, 0.4, 3, 0.1, 0.1, 5)
	blunt.Section = constant{0, 0.1}
	idle := prepared(t, blunt).Table(6, 1.225)
	if cp, lambda := idle.MaxCp(); idle.Runaway() != 0 || cp != 0 || lambda != 0 {
		t.Errorf("drag alone drives a rotor: %g at %g, runaway %g", cp, lambda, idle.Runaway())
	}
}

// Six boards 15 cm wide, set at 15°, on a disc of 60 cm.
func ExampleBoard() {
	p, err := New(Board(2, 0.6, 6, 0.15, 0.15, 15))
	if err != nil {
		fmt.Println(err)
		return
	}
	table := p.Table(6, 1.225)
	cp, lambda := table.MaxCp()
	fmt.Printf("at best a share of %.2f of the wind's power, at a tip-speed ratio of %.1f\n", cp, lambda)
	fmt.Printf("without load the tips run at %.0f times the wind\n", table.Runaway())
	// Output:
	// at best a share of 0.23 of the wind's power, at a tip-speed ratio of 3.1
	// without load the tips run at 5 times the wind
}

func BenchmarkCharacteristic(b *testing.B) {
	p := prepared(b, Board(2, 0.6, 6, 0.15, 0.15, 20))
	lambdas := make([]float64, 40)
	for i := range lambdas {
		lambdas[i] = float64(i) * 0.1
	}
	for b.Loop() {
		p.Characteristic(6, 1.225, lambdas)
	}
}

func BenchmarkTable(b *testing.B) {
	p := prepared(b, Board(2, 0.6, 6, 0.15, 0.15, 20))
	for b.Loop() {
		p.Table(6, 1.225)
	}
}

func BenchmarkTableRead(b *testing.B) {
	table := prepared(b, Board(2, 0.6, 6, 0.15, 0.15, 20)).Table(6, 1.225)
	for b.Loop() {
		table.Cq(2.3)
	}
}
