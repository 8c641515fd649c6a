package bins

import (
	"math"
	"math/rand/v2"
	"testing"

	"mastworth/resource"
	"mastworth/yield"
)

// The worked bin: five periods about 6 m/s. Computed apart with NumPy by the formulas of IEC 61400-12-1, printed to five
// digits.
var (
	workedSpeed    = []float64{5.82, 5.91, 6.03, 6.12, 6.21}
	workedPower    = []float64{352, 381, 402, 428, 455}
	workedTemp     = []float64{18, 19, 20, 21, 22}
	workedPressure = []float64{95000, 95100, 95000, 94900, 94950}
)

func worked() Log {
	return Log{Times: []int64{0, 600, 1200, 1800, 2400}, StepS: 600, SpeedMS: workedSpeed, PowerW: workedPower,
		TemperatureC: workedTemp, PressurePa: workedPressure}
}

func TestWorkedBin(t *testing.T) {
	r := measured(t, worked(), Options{RotorDiameterM: 3.7, AveragingS: 600, Regulation: yield.Stall})
	if len(r.Bins) != 1 {
		t.Fatalf("%d bins, want one", len(r.Bins))
	}
	b := r.Bins[0]
	near(t, "bin's centre", b.CentreMS, 6, 0)
	near(t, "mean wind", b.SpeedMS, 6.01800, 1e-5)
	near(t, "mean power, kW", b.PowerW/1000, 0.43819, 1e-5)
	near(t, "standard deviation, kW", b.SDW/1000, 0.046030, 1e-6)
	near(t, "category A, kW", b.UncertaintyAW/1000, 0.020585, 1e-6)
	near(t, "power coefficient", b.Cp, 0.30528, 1e-5)
	near(t, "minutes", b.Minutes, 50, 0)
	if !b.Complete || r.Complete {
		t.Error("50 minutes fill a bin of 30, but one bin is no test")
	}
}

func TestWorkedNormalisation(t *testing.T) {
	densities := []float64{1.13671, 1.13401, 1.12895, 1.12393, 1.12071}
	powers := []float64{0.37934, 0.41157, 0.43620, 0.46649, 0.49734}
	speeds := []float64{5.67668, 5.75989, 5.86810, 5.94684, 6.02853}
	for i := range workedSpeed {
		rho := resource.AirDensity(workedTemp[i], workedPressure[i], math.NaN())
		near(t, "density", rho, densities[i], 1e-5)
		for _, passive := range []yield.Regulation{yield.Furling, yield.Stall, yield.Unregulated} {
			v, w := normalise(workedSpeed[i], workedPower[i], rho, 1.225, passive)
			near(t, "power of a passive machine, kW", w/1000, powers[i], 1e-5)
			near(t, "its wind", v, workedSpeed[i], 0)
		}
		v, w := normalise(workedSpeed[i], workedPower[i], rho, 1.225, yield.Pitch)
		near(t, "wind of a pitching machine", v, speeds[i], 1e-5)
		near(t, "its power", w, workedPower[i], 0)
	}
}

// The generator of the worked electrical example: K 0.40 V·s/rad, 0.50 Ω, 12.6 V, 0.7 V of diode; 87.07, 192.63 and 298.19 W
// into the battery at 400, 500 and 600 rpm (computed apart by E = Kω). It starts at 317.51 rpm.
func TestPowerOfShaftSpeed(t *testing.T) {
	g := Generator{ConstantVsPerRad: 0.40, ResistanceOhm: 0.50, BatteryV: 12.6, DiodeDropV: 0.7}
	for rpm, want := range map[float64]float64{400: 87.07, 500: 192.63, 600: 298.19, 317.5: 0, 0: 0} {
		near(t, "battery", g.PowerW(rpm, g.BatteryV), want, 5e-3)
	}
	if g.PowerW(317.6, 12.6) <= 0 {
		t.Error("no power above cut-in")
	}
	// Into 2 Ω, no diode: 16.755 V at 400 rpm, over 2.5 Ω, squared, times 2 Ω.
	load := Generator{ConstantVsPerRad: 0.40, ResistanceOhm: 0.50, LoadOhm: 2}
	near(t, "resistance", load.PowerW(400, math.NaN()), 16.755*16.755/6.25*2, 0.01)
	if !math.IsNaN(g.PowerW(math.NaN(), 12.6)) {
		t.Error("a missing speed makes a power")
	}
}

// The annual energy of the reference curve's own points by the standard's sum: 26 894, 46 730, 67 182, 86 330 and 102 806 kWh
// at 4 to 8 m/s, computed apart. Here the bins are filled with the points themselves, without scatter.
func TestAnnualEnergyOfReferenceCurve(t *testing.T) {
	curve := referenceCurve(t, "curve_DW20.csv")
	var l Log
	l.StepS = 60
	for _, p := range curve.Points() {
		if p.SpeedMS < 3 || p.SpeedMS > 20 {
			continue
		}
		for range 200 {
			l.Times = append(l.Times, 60*int64(len(l.Times)))
			l.SpeedMS, l.PowerW = append(l.SpeedMS, p.SpeedMS), append(l.PowerW, p.PowerW)
		}
	}
	// The points of the curve are a metre a second apart; the sum that was computed apart starts from 2 m/s, at no power, and ends
	// with the fall from 20 to 21 m/s. Those two steps are put to it here.
	r := measured(t, l, Options{RotorDiameterM: 12.4, Regulation: yield.Furling, CutOutMS: 20})
	share := func(from, to, mean float64) float64 { return rayleighBelow(to, mean) - rayleighBelow(from, mean) }
	for i, want := range []float64{26894, 46730, 67182, 86330, 102806} {
		e := r.AEP[i]
		mean := e.MeanSpeedMS
		ends := 8.760 * 178 / 2 * share(2, 2.5, mean)
		ends += 8.760 * 25385 / 2 * share(20, 21, mean)
		near(t, "annual energy, kWh", e.MeasuredKWh+ends, want, 1)
		near(t, "nothing to extrapolate", e.ExtrapolatedKWh, e.MeasuredKWh, 0)
		if !e.Complete {
			t.Error("not complete, with all energy measured")
		}
	}
}

// The two reference curves, measured in made-up wind with scatter and with instruments that are wrong by a draw from their
// stated uncertainty, come back within what the result states, 95 times in 100: bin by bin from cut-in to 14 m/s, and as annual
// energy, whose uncertainty is on the safe side, since instruments are taken as wrong in all bins alike, power and wind together.
func TestReferenceCurvesComeBack(t *testing.T) {
	for _, c := range []struct {
		file              string
		diameterM, noiseW float64
	}{{"curve_DW20.csv", 12.4, 1500}, {"curve_DW100.csv", 27.6, 6000}} {
		curve := referenceCurve(t, c.file)
		comeBack(t, c.file, curve, Options{RotorDiameterM: c.diameterM, SpeedUncertainty: 0.02, PowerUncertainty: 0.015,
			DensityUncertainty: 1e-6, CutOutMS: 25}, c.noiseW)
	}
}

func comeBack(t *testing.T, name string, curve *yield.Curve, o Options, noiseW float64) {
	const trials, minutes = 200, 200 * 60
	const two95 = 1.959964
	var bins, within, years, yearsWithin int
	for trial := range trials {
		r := rand.New(rand.NewPCG(uint64(trial), 99))
		l := weather(uint64(trial), minutes, curve, 7, noiseW)
		l.SpeedMS = scaled(l.SpeedMS, 1+o.SpeedUncertainty*r.NormFloat64())
		l.PowerW = scaled(l.PowerW, 1+o.PowerUncertainty*r.NormFloat64())
		got := measured(t, l, o)
		var points []yield.Point
		for _, b := range got.Bins {
			if !b.Complete {
				continue
			}
			truth := curve.Power(b.SpeedMS)
			points = append(points, yield.Point{SpeedMS: b.SpeedMS, PowerW: truth})
			if b.CentreMS < got.CutInMS || b.CentreMS > got.ToMS {
				continue // a curve's corner within a bin and bins of ten periods: see the standard's range
			}
			bins++
			if math.Abs(b.PowerW-truth) <= two95*b.UncertaintyW() {
				within++
			}
		}
		ideal, err := yield.NewCurve(points, 1.225)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range got.AEP {
			years++
			if math.Abs(e.MeasuredKWh-ideal.BinSumAnnualKWh(e.MeanSpeedMS)) <= two95*e.UncertaintyKWh {
				yearsWithin++
			}
		}
	}
	share, yearShare := float64(within)/float64(bins), float64(yearsWithin)/float64(years)
	t.Logf("%s: %.3f of %d bins and %.3f of %d annual energies within their 95 %%", name, share, bins, yearShare, years)
	// All bins of a trial share its instruments, so 200 trials tell the share to some 1.5 % (one standard error), and bins with a
	// corner of the curve in them lose a little more.
	if share < 0.925 || share > 0.975 || yearShare < 0.925 {
		t.Errorf("%s: only %.3f of bins and %.3f of annual energies come back within their 95 %%", name, share, yearShare)
	}
}
