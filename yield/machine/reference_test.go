package machine

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"mastworth/yield/drive"
	"mastworth/yield/rotor"
)

// workedDesign is the generator of the shared reference notes, section 11 (K 0.40 V·s/rad, 0.50 Ω, 12.6 V battery, 0.7 V of
// diode, no gear) on an invented rotor of six boards and 2 m.
func workedDesign(t testing.TB) Design {
	t.Helper()
	r := rotor.Board(2, 0.3, 6, 0.12, 0.1, 10)
	r.Section, _ = rotor.CurvedPlate(0.06)
	return Design{
		Rotor: r, Gear: drive.Direct(), Generator: drive.Generator{ConstantVsPerRad: 0.40, ResistanceOhm: 0.50},
		Load: drive.Battery{VoltsV: 12.6, DiodeDropV: 0.7},
	}
}

// askedAt reads the asked torque between two rows that both lie above charging, where it is straight.
func askedAt(t testing.TB, s *Solved, rpm float64) float64 {
	t.Helper()
	for i := 1; i < len(s.TorqueMap); i++ {
		if from, to := s.TorqueMap[i-1], s.TorqueMap[i]; from.RPM > s.ChargingRPM && from.RPM <= rpm && rpm <= to.RPM {
			return from.AskedNm + (to.AskedNm-from.AskedNm)*(rpm-from.RPM)/(to.RPM-from.RPM)
		}
	}
	t.Fatalf("%g rpm is not in the torque map, up to %g rpm and from %g", rpm, s.TorqueMap[len(s.TorqueMap)-1].RPM, s.ChargingRPM)
	return math.NaN()
}

// The worked machine of the shared reference notes, section 11.
func TestWorkedGenerator(t *testing.T) {
	s := solve(t, workedDesign(t))
	near(t, "charging speed, rpm", s.ChargingRPM, 317.51, 0.005)
	near(t, "torque at 400 rpm", askedAt(t, s, 400), 2.764, 0.0005)
	near(t, "torque at 500 rpm, 0.40·15.288", askedAt(t, s, 500), 0.40*15.288, 0.0005)
	charging := 0
	for _, p := range s.Result.Points {
		if !(p.CurrentA > 0) {
			continue
		}
		charging++
		emf := 0.40 * drive.RadPerS(p.GeneratorRPM)
		near(t, "current", p.CurrentA, (emf-12.6-0.7)/0.50, 1e-9)
		near(t, "electrical efficiency V/Kω", p.DeliveredW/(p.AeroW), 12.6/emf, 1e-9)
		near(t, "EMF, diode and winding", emf, 12.6+0.7+p.CurrentA*0.50, 1e-9)
	}
	if charging < 20 {
		t.Errorf("it charges in %d winds alone", charging)
	}
}

// A doubled gear step halves the rotor speed at cut-in and doubles the reflected torque at the generator's speed (textbook).
func TestDoubledGearStep(t *testing.T) {
	d := workedDesign(t)
	single := solve(t, d)
	d.Gear.GeneratorPerRotor = 2
	double := solve(t, d)
	near(t, "charging speed", double.ChargingRPM, single.ChargingRPM/2, 1e-9)
	near(t, "reflected torque", askedAt(t, double, 200), 2*2.764, 0.001)
	if !(double.Result.CutInMS < single.Result.CutInMS) {
		t.Errorf("cut-in at %g m/s geared up, %g direct", double.Result.CutInMS, single.Result.CutInMS)
	}
}

// 30 m of AWG 10 lose 85.34 W of 500 W at 24 V, that is at 20.833 A (shared reference notes, section 11).
func TestWireWorked(t *testing.T) {
	d := sixBoards(t)
	d.Wire = drive.Wire{LengthM: 30, AWG: "10", TemperatureC: 20}
	for _, p := range solve(t, d).Result.Points {
		if p.CurrentA > 0 {
			near(t, "wire loss at 20.833 A", p.WireLossW*math.Pow(500.0/24/p.CurrentA, 2), 85.34, 0.01)
			near(t, "terminals less wire", p.TerminalW-p.WireLossW-p.LoadLossW, p.DeliveredW, 1e-9)
		}
	}
}

// shared is the path of a file beside the project. Where it is absent the test is skipped, but in CI it fails.
func shared(t testing.TB, name string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			t.Fatal("no go.mod above the package")
		}
		dir = parent
	}
	path := filepath.Join(dir, "..", "shared", filepath.FromSlash(name))
	if _, err := os.Stat(path); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s must be present in CI: %v", path, err)
		}
		t.Skipf("%s is absent: this check against outside data is left out", path)
	}
	return path
}

// readColumns reads named columns of numbers.
func readColumns(t testing.TB, path string, names ...string) [][]float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := make([][]float64, len(names))
	for k, name := range names {
		for column, head := range rows[0] {
			if head != name {
				continue
			}
			for _, row := range rows[1:] {
				v, err := strconv.ParseFloat(row[column], 64)
				if err != nil {
					t.Fatal(err)
				}
				out[k] = append(out[k], v)
			}
		}
		if out[k] == nil {
			t.Fatalf("%s has no column %s", path, name)
		}
	}
	return out
}
