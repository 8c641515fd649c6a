package assess

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"mastworth/yield"
)

// Two months by hand, January with 2 and 2 and 4 m/s, July with 0 and 3: a sample of January counts for 1/2 · 1/3 of the time, of July
// for 1/2 · 1/2, both months having 31 days. The curve makes 100 W at 2 m/s, 200 at 3, 300 at 4.
func TestSpeedBinsByHand(t *testing.T) {
	m := &moved{speeds: []float64{2, 2, 4, 0, 3}}
	for k := range m.from {
		m.from[k] = 3
	}
	m.from[0] = 0
	for k := 7; k < 13; k++ {
		m.from[k] = 5
	}
	m.counts[0], m.counts[6] = true, true
	c, err := yield.NewCurve([]yield.Point{{SpeedMS: 1, PowerW: 0}, {SpeedMS: 2, PowerW: 100}, {SpeedMS: 5, PowerW: 400}}, 1.225)
	if err != nil {
		t.Fatal(err)
	}
	b := m.bins(c)
	want := []float64{0, 0, 2.0 / 6, 1.0 / 4, 1.0 / 6}
	for i, share := range want {
		near(t, "share", b.TimeShares[i], share, 1e-15)
		near(t, "energy", b.GrossKWh[i], yield.AnnualKWh(share*100*float64(i-1)), 1e-12)
	}
	if len(b.TimeShares) != len(want) || b.CalmShare != 0.25 {
		t.Errorf("%d bins, calm %g", len(b.TimeShares), b.CalmShare)
	}
}

// Bins hold all of the time and all of the energy, whatever months there are.
func TestSpeedBinsHoldEverything(t *testing.T) {
	c, err := yield.NewCurve([]yield.Point{{SpeedMS: 3, PowerW: 0}, {SpeedMS: 11, PowerW: 1000}, {SpeedMS: 25, PowerW: 1000}}, 1.225)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		m := &moved{}
		for k := range 12 {
			month := rapid.SliceOfN(rapid.Float64Range(0, 70), 0, 6).Draw(t, "speeds")
			m.speeds = append(m.speeds, month...)
			m.from[k+1] = len(m.speeds)
			m.counts[k] = len(month) > 3
		}
		if len(m.speeds) == 0 {
			return
		}
		b := m.bins(c)
		time, energy := b.CalmShare, 0.0
		for i := range b.TimeShares {
			time, energy = time+b.TimeShares[i], energy+b.GrossKWh[i]
		}
		watts, _ := m.meanPower(c)
		if gross := yield.AnnualKWh(watts); math.Abs(time-1) > 1e-12 || math.Abs(energy-gross) > 1e-9*(1+gross) {
			t.Fatalf("time %g, energy %g of %g", time, energy, gross)
		}
	})
}

// Of a whole record, at the best height; given winds have none.
func TestSpeedBinsOfARecord(t *testing.T) {
	e := mustRun(t, at10m(openData(t, "epw", "USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw")))
	b := e.SpeedBins
	if b == nil || b.HubHeightM != e.BestHubHeightM {
		t.Fatalf("%+v", b)
	}
	energy := 0.0
	for _, kWh := range b.GrossKWh {
		energy += kWh
	}
	for i := range e.Heights {
		if e.Heights[i].HubHeightM == b.HubHeightM {
			near(t, "energy", energy, e.Heights[i].Energy.GrossKWh, 1e-9)
		}
	}
	if given := mustRun(t, garden()); given.SpeedBins != nil {
		t.Error("a given distribution has a histogram")
	}
}
