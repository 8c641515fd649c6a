package rotor

import (
	"fmt"
	"math"
	"testing"
)

// ideal takes tip and hub loss away.
func ideal(p *Prepared) *Prepared {
	for i := range p.elements {
		p.elements[i].tip, p.elements[i].hub = math.Inf(1), math.Inf(1)
	}
	return p
}

// The best blade without drag and loss reaches the power of Glauert's ideal rotor with wake rotation, λ² =
// (1−a)(4a−1)²/(1−3a) integrated over the disc (Glauert 1935; printed also in Manwell, McGowan and Rogers, ch. 3). Its
// blade is set to φ = ⅔ atan(1/λ_r) and loaded to σCl = 4(1 − cos φ) all along.
func TestIdealRotorReachesGlauert(t *testing.T) {
	const lift, slope, root = 2.5, 60.0, 0.01
	alpha := math.Asin(lift / slope)
	for lambda, want := range map[float64]float64{0.5: 0.28939, 1: 0.41550, 1.5: 0.47715, 2: 0.51119, 2.5: 0.53187, 5: 0.57039,
		7.5: 0.58085, 10: 0.58523} {
		r := Rotor{DiameterM: 2, HubDiameterM: 2 * root, Blades: 3, Section: thin(slope), Elements: 200}
		for i := range 401 {
			radius := root + (1-root)*float64(i)/400
			phi := 2.0 / 3 * math.Atan2(1, lambda*radius)
			chord := 4 * (1 - math.Cos(phi)) / lift * 2 * math.Pi * radius / 3
			r.Stations = append(r.Stations, Station{radius, chord, (phi - alpha) * 180 / math.Pi})
		}
		got := ideal(prepared(t, r)).At(6, lambda*6, 1.225, 0)
		near(t, fmt.Sprintf("Cp at λ = %g", lambda), got.Cp, want, -0.01)
	}
}

// load is the induction and thrust of a ring square to the wind, at a force coefficient along the axis and a loss factor.
func load(normal, loss float64) (a, thrust float64) {
	e := element{solidity: 1, tip: -math.Log(math.Cos(loss * math.Pi / 2)), hub: math.Inf(1)}
	if loss == 1 {
		e.tip = math.Inf(1)
	}
	s := state{e: &e, section: constant{0, normal}}
	f := s.at(math.Pi / 2)
	a = 1 - 1/f.stretched
	return a, normal * (1 - a) * (1 - a)
}

// Buhl's thrust at high induction (NREL/TP-500-36834, 2005), by the numbers of its formula.
func TestHighInduction(t *testing.T) {
	for _, c := range []struct{ loss, a, thrust float64 }{
		{1, 0.4, 0.96}, {1, 0.5, 1.05556}, {1, 0.6, 1.18222}, {0.8, 0.4, 0.768}, {0.8, 0.5, 0.85556}, {0.8, 0.6, 0.99022},
		{1, 1.0 / 3, 8.0 / 9}, // Betz
	} {
		a, thrust := load(c.thrust/((1-c.a)*(1-c.a)), c.loss)
		near(t, fmt.Sprintf("a at C_T = %g, F = %g", c.thrust, c.loss), a, c.a, 1e-5)
		near(t, fmt.Sprintf("C_T at a = %g, F = %g", c.a, c.loss), thrust, c.thrust, 1e-5)
	}
	a, thrust := load(1e12, 1)
	near(t, "a of a wall", a, 1, 1e-5)
	near(t, "C_T of a wall", thrust, 2, 1e-4)
}

// Thrust measured at high induction, NACA TN-221 and R&M 885, as digitised in Wilson, Lissaman and Walker 1976. The points
// scatter by 0.3 among themselves at the same induction, so that four of the 23 lie further than 0.25 from Buhl's line,
// three above it and one below.
func TestMeasuredHighInduction(t *testing.T) {
	outside, sum, rows := 0, 0.0, reference(t, "high_induction_ct_data.csv")
	for _, row := range rows {
		a, thrust := number(t, row[1]), number(t, row[2])
		lo, hi := 0.0, 1e6
		for range 200 {
			if got, _ := load((lo+hi)/2, 1); got < a {
				lo = (lo + hi) / 2
			} else {
				hi = (lo + hi) / 2
			}
		}
		_, got := load(lo, 1)
		sum += got - thrust
		if math.Abs(got-thrust) > 0.25 {
			outside++
			t.Logf("%s: C_T at a = %g: %.3f, measured %.3f", row[0], a, got, thrust)
		}
	}
	if outside > 4 {
		t.Errorf("%d of %d points lie further than 0.25 from the line", outside, len(rows))
	}
	near(t, "mean difference in C_T", sum/float64(len(rows)), 0, 0.1)
}
