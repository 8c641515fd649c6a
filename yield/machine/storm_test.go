package machine

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"mastworth/resource"
	"mastworth/yield"
	"mastworth/yield/drive"
)

func detail(t testing.TB, list []resource.Warning, code string) string {
	t.Helper()
	for _, w := range list {
		if w.Code == code {
			return w.Detail
		}
	}
	t.Fatalf("%s is not among %v", code, list)
	return ""
}

// The figure for the load lost is the fastest of all winds on the way to the storm, each with its own rotor, and the warning tells
// that same figure and its wind.
func TestFastestFreeRotor(t *testing.T) {
	d := sixBoards(t)
	d.Furling = drive.Furling{StartMS: 9, FullMS: 15}
	s := solve(t, d)
	lost := s.Result.Overspeed.LoadLost
	near(t, "the wind it happens in", lost.WindMS, 9, 0)
	free := s.RunawayLambda * 9 / 1.1
	if rpm := drive.RPM(free); !(lost.RotorRPM > 0.97*rpm && lost.RotorRPM < 1.03*rpm) {
		t.Errorf("%g rpm, a free rotor in 9 m/s turns at %g", lost.RotorRPM, rpm)
	}
	words := detail(t, s.Warnings, "overspeed")
	if !strings.Contains(words, fmt.Sprintf("up to %.0f rpm, its tips at %.0f m/s, in a wind of 9.0 m/s", lost.RotorRPM, lost.TipSpeedMS)) {
		t.Error(words)
	}
	if strings.Contains(words, "0 rpm in") && !strings.Contains(words, "0 rpm in 25") {
		t.Error(words)
	}
}

// A brake has a sentence of its own, and no advice on gears.
func TestBrakeIsNoCharger(t *testing.T) {
	d := sixBoards(t)
	d.Load = drive.ShortCircuit{}
	s := solve(t, d)
	detail(t, s.Warnings, "brake")
	for _, w := range s.Warnings {
		if strings.Contains(w.Detail, "gear step") || strings.Contains(w.Detail, "NaN") {
			t.Errorf("%+v", w)
		}
	}
	if v := s.Result.BrakeFailMS; v == v {
		sv, err := newSolver(d, seaLevel)
		if err != nil {
			t.Fatal(err)
		}
		m := sv.machine
		m.Aero = sv.tables.aero(v)
		below, above := m.Operate(0.99*v, seaLevel), m.Operate(1.01*v, seaLevel)
		if !(above.RotorRPM > 1.2*below.RotorRPM) {
			t.Errorf("at %g m/s the brake lets go, from %g to %g rpm", v, below.RotorRPM, above.RotorRPM)
		}
	}
}

// A limit by power that is reached above the wind of full furling is a fault at that wind.
func TestFurlingCompleteBeforeItBegins(t *testing.T) {
	d := sixBoards(t)
	d.Furling = drive.Furling{PowerLimitW: 200}
	start := solve(t, d).Result.FurlMS
	d.Furling.FullMS = start - 1
	var f *Fault
	if _, err := Solve(d, seaLevel); !errors.As(err, &f) || f.Field != "furling.full_m_s" {
		t.Errorf("%v", err)
	}
}

// At its limit a converter is told of as that, not as a rotor that wants more gear.
func TestConverterAtItsLimit(t *testing.T) {
	d := sixBoards(t)
	d.Load = drive.Tracking{Efficiency: 0.9, MaxW: 40}
	s := solve(t, d)
	detail(t, s.Warnings, "converter_limit")
	if hasWarning(s.Warnings, "held_above_best") {
		t.Errorf("%v", s.Warnings)
	}
}

// The share above the rating and the share below are the whole; in a wind of one speed it is all or nothing.
func TestOverRatingShare(t *testing.T) {
	d := sixBoards(t)
	d.Generator.RatedCurrentA = 4
	s := solve(t, d)
	share := s.OverRatingShare(rayleigh(5))
	points := s.Result.Delivered.Points()
	for i := range points {
		if s.Result.Points[i].CurrentA > 4 {
			points[i].PowerW = 0
		}
	}
	c, err := yield.NewCurve(points, seaLevel)
	if err != nil {
		t.Fatal(err)
	}
	within := rayleigh(5)(c) / rayleigh(5)(s.Result.Delivered)
	near(t, "shares", share+within, 1, 1e-12)
	near(t, "in a storm", s.OverRatingShare(func(c *yield.Curve) float64 { return c.Power(20) }), 1, 0)
	near(t, "in a breeze", s.OverRatingShare(func(c *yield.Curve) float64 { return c.Power(4.5) }), 0, 0)
	if words := detail(t, s.Warnings, OverCurrentCode); !strings.Contains(words, fmt.Sprintf("%.0f %% of the year's energy", 100*share)) {
		t.Error(words)
	}
	d.Generator.RatedCurrentA = 0
	if share := solve(t, d).OverRatingShare(rayleigh(5)); !math.IsNaN(share) {
		t.Errorf("without a rating %g", share)
	}
}
