package assess

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"mastworth/resource"
	"mastworth/resource/shelter"
	"mastworth/resource/terrain"
)

// wall is a long solid wall west of the mast.
func wall() shelter.Obstacle {
	return shelter.Obstacle{Name: "wall", BearingDeg: 270, DistanceM: 100, HeightM: 10, WidthM: 400, Porosity: 0, GrowthMPerYear: 0}
}

// A solid fence 10 m high, ten heights off, over 0.03 m of roughness, takes 0.46526 of the speed at its own height
// (Perera 1981, from memory; computed by the reference). It fills the sector round its bearing, so that is what the estimate
// must lose where all the wind comes from there.
func TestShelterThroughEstimate(t *testing.T) {
	r := garden()
	r.Site.Ground = Ground{RoughnessM: 0.03, DisplacementM: 0}
	r.Site.Obstacles = []shelter.Obstacle{wall()}
	r.Wind.Rose = []float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0}
	r.Towers = []Tower{{HubHeightM: 10, Cost: 1}}
	h := mustRun(t, r).Heights[0]
	west := h.Surroundings.Directions[27]
	near(t, "speed kept from the west", west.Obstacle, 1-0.46526, 1e-5)
	// The sector of the rose holds the directions of 260, 270 and 280 degrees; the wall stands full in all three.
	near(t, "loss", h.Surroundings.ObstacleLossShare, 0.46526, 1e-5)
	near(t, "mean", h.Wind.MeanSpeedMS, (1-0.46526)*5.5*math.Gamma(1.5), 1e-5)
	near(t, "shape", h.Wind.Weibull.Shape, 2, 1e-12)
	if east := h.Surroundings.Directions[9]; east.Obstacle != 1 || east.AddedTurbulence != 0 {
		t.Errorf("the wall in the west changes the wind from the east: %+v", east)
	}
	if !(h.Surroundings.SpeedLowMS < h.Wind.MeanSpeedMS && h.Wind.MeanSpeedMS < h.Surroundings.SpeedHighMS) {
		t.Errorf("%g m/s is not between %g and %g", h.Wind.MeanSpeedMS, h.Surroundings.SpeedLowMS, h.Surroundings.SpeedHighMS)
	}
}

// A hill 30 m high, of half-length 150 m, speeds the wind at 15 m by 0.21450, a ridge by 0.29633, an escarpment by 0.12461
// (Taylor & Lee 1984, coefficients from memory; computed by the reference).
func TestReliefThroughEstimate(t *testing.T) {
	for shape, want := range map[terrain.Shape]float64{terrain.Hill: 0.21450, terrain.Ridge: 0.29633, terrain.Escarpment: 0.12461} {
		r := garden()
		no := false
		r.Wind.MeasuredHere = &no
		r.Towers = []Tower{{HubHeightM: 15, Cost: 1}}
		r.Site.Obstacles = []shelter.Obstacle{}
		plain := mustRun(t, r).Heights[0].Wind.MeanSpeedMS
		r.Site.Relief = []terrain.Relief{{Shape: shape, HeightM: 30, HalfLengthM: 150, FromDeg: nan, ToDeg: nan}}
		h := mustRun(t, r).Heights[0]
		near(t, string(shape), h.Wind.MeanSpeedMS/plain-1, want, 5e-5)
		near(t, "gain", h.Surroundings.ReliefGainShare, want, 5e-5)
		near(t, "low", h.Surroundings.SpeedLowMS, plain*(1+0.7*want), 1e-4)
		near(t, "high", h.Surroundings.SpeedHighMS, plain*(1+1.3*want), 1e-4)
	}
}

// Sensors among the same trees and on the same hill have seen what the hub sees: at their own height nothing changes.
func TestMeasuredHere(t *testing.T) {
	s := invented(21, 366*24)
	r := at10m(s)
	r.Shear.Method = ShearLog
	hedge := wall()
	hedge.Porosity = 0.5
	r.Site.Obstacles = []shelter.Obstacle{hedge}
	r.Site.Relief = []terrain.Relief{{Shape: terrain.Hill, HeightM: 30, HalfLengthM: 150, FromDeg: nan, ToDeg: nan}}
	open := r
	open.Site.Obstacles, open.Site.Relief = []shelter.Obstacle{}, nil
	want := mustRun(t, open).Heights
	unknown := r
	s.Place = nil
	e := mustRun(t, unknown)
	if !says(&e, "measured_here_unknown") || e.Request.Wind.MeasuredHere != nil {
		t.Error("nobody said where the record was taken, and the answer does not say so")
	}
	if h := e.Heights[1]; h.Surroundings.ReliefGainShare != 0 || h.Wind.MeanSpeedMS >= want[1].Wind.MeanSpeedMS {
		t.Error("without knowing where the wind was measured the hill and the trees flatter")
	}
	yes := true
	r.Wind.MeasuredHere = &yes
	here := mustRun(t, r)
	near(t, "at the sensor", here.Heights[0].Wind.MeanSpeedMS, want[0].Wind.MeanSpeedMS, 1e-12)
	if h := here.Heights[0].Surroundings; h.ObstacleLossShare <= 0 || h.ReliefGainShare <= 0 {
		t.Errorf("the surroundings are not told: %+v", h)
	}
	no := false
	r.Wind.MeasuredHere = &no
	elsewhere := mustRun(t, r).Heights[0]
	near(t, "elsewhere", elsewhere.Wind.MeanSpeedMS/want[0].Wind.MeanSpeedMS,
		(1-elsewhere.Surroundings.ObstacleLossShare)*(1+elsewhere.Surroundings.ReliefGainShare), 0.02)
}

// Turning the wind, the wall, the ground and the ridge by 30 degrees turns the answer and changes nothing else.
func TestTurningEverything(t *testing.T) {
	s := invented(22, 200*24)
	request := func(turn float64) Request {
		at := func(deg float64) float64 { return math.Mod(deg+turn, 360) }
		own := s.WithOwnFlags()
		for i := range own.Channels {
			if c := &own.Channels[i]; c.Quantity == resource.Direction {
				c.Values = append([]float64(nil), c.Values...)
				for k := range c.Values {
					c.Values[k] = math.Mod(math.Round(c.Values[k])+turn, 360)
				}
			}
		}
		r := at10m(own)
		r.Shear.Method = ShearLog
		r.Wind.MeasuredOver = &Ground{RoughnessM: 0.03, DisplacementM: 0}
		w := wall()
		w.BearingDeg = at(w.BearingDeg)
		r.Site.Obstacles = []shelter.Obstacle{w}
		r.Site.Ground.Sectors = []GroundSector{{FromDeg: at(40), ToDeg: at(120), Ground: Ground{RoughnessM: 0.5, DisplacementM: 2}, ChangeAtM: 150}}
		r.Site.Relief = []terrain.Relief{{Shape: terrain.Ridge, HeightM: 20, HalfLengthM: 100, FromDeg: at(200), ToDeg: at(250)}}
		return r
	}
	a, b := mustRun(t, request(0)), mustRun(t, request(30))
	for i := range a.Heights {
		x, y := a.Heights[i], b.Heights[i]
		near(t, "mean", y.Wind.MeanSpeedMS, x.Wind.MeanSpeedMS, 1e-12)
		near(t, "gross", y.Energy.GrossKWh, x.Energy.GrossKWh, 1e-12)
		near(t, "turbulence", y.Surroundings.AddedTurbulence, x.Surroundings.AddedTurbulence, 1e-9)
		for d := range x.Surroundings.Directions {
			was, is := x.Surroundings.Directions[d], y.Surroundings.Directions[(d+3)%36]
			near(t, fmt.Sprint("ground ", d), is.Ground, was.Ground, 1e-9)
			near(t, fmt.Sprint("obstacle ", d), is.Obstacle, was.Obstacle, 1e-9)
			near(t, fmt.Sprint("relief ", d), is.Relief, was.Relief, 1e-9)
		}
		for k := range x.Wind.Sectors {
			near(t, fmt.Sprint("sector ", k), y.Wind.Sectors[(k+1)%12].MeanSpeedMS, x.Wind.Sectors[k].MeanSpeedMS, 1e-12)
		}
	}
}

// One kind of ground in every sector is that ground all round.
func TestSectorsOfTheSameGround(t *testing.T) {
	r := garden()
	r.Site.Ground = Ground{RoughnessM: 0.5, DisplacementM: 2}
	r.Wind.MeasuredOver = &Ground{RoughnessM: 0.03, DisplacementM: 0}
	want := mustRun(t, r)
	r.Site.Ground.Sectors = []GroundSector{
		{FromDeg: 0, ToDeg: 200, Ground: Ground{RoughnessM: 0.5, DisplacementM: 2}, ChangeAtM: nan},
		{FromDeg: 200, ToDeg: 360, Ground: Ground{RoughnessM: 0.5, DisplacementM: 2}, ChangeAtM: nan},
	}
	got := mustRun(t, r)
	for i := range want.Heights {
		near(t, "mean", got.Heights[i].Wind.MeanSpeedMS, want.Heights[i].Wind.MeanSpeedMS, 1e-12)
		near(t, "net", got.Heights[i].Energy.NetKWh, want.Heights[i].Energy.NetKWh, 1e-12)
	}
}

// What cannot be is refused, at its place.
func TestBadSurroundings(t *testing.T) {
	obstacle := func(change func(o *shelter.Obstacle)) func(*Request) {
		return func(r *Request) {
			o := wall()
			change(&o)
			r.Site.Obstacles = []shelter.Obstacle{o}
		}
	}
	sectors := func(s ...GroundSector) func(*Request) {
		return func(r *Request) { r.Site.Ground.Sectors = s }
	}
	plain := Ground{RoughnessM: 0.1, DisplacementM: 0}
	for at, change := range map[string]func(*Request){
		"site.obstacles[0].distance_m": obstacle(func(o *shelter.Obstacle) { o.DistanceM = 0 }),
		"site.obstacles[0].porosity":   obstacle(func(o *shelter.Obstacle) { o.Porosity = 1.2 }),
		"site.obstacles[0].height_m":   obstacle(func(o *shelter.Obstacle) { o.HeightM = -3 }),
		"towers[0].hub_height_m":       obstacle(func(o *shelter.Obstacle) { o.DistanceM, o.HeightM = 20, 15 }),
		"site.ground.sectors[1].from_deg": sectors(GroundSector{FromDeg: 0, ToDeg: 90, Ground: plain, ChangeAtM: nan},
			GroundSector{FromDeg: 80, ToDeg: 120, Ground: plain, ChangeAtM: nan}),
		"site.ground.sectors[0].change_at_m": sectors(GroundSector{FromDeg: 0, ToDeg: 90, Ground: plain, ChangeAtM: -5}),
		"site.ground.sectors[0].beyond":      sectors(GroundSector{FromDeg: 0, ToDeg: 90, Ground: plain, ChangeAtM: nan, Beyond: &plain}),
		"site.relief[0].half_length_m": func(r *Request) {
			r.Site.Relief = []terrain.Relief{{Shape: terrain.Hill, HeightM: 90, HalfLengthM: 100, FromDeg: nan, ToDeg: nan}}
		},
		"wind.rose": func(r *Request) { r.Wind.Rose = make([]float64, 12) },
		"wind.measured_here": func(r *Request) {
			yes := true
			r.Wind.MeasuredHere, r.Wind.MeasuredOver = &yes, &plain
		},
		"wind.long_term": func(r *Request) {
			r.Wind.LongTerm = &LongTerm{Reference: &Record{Series: invented(1, 24)}, MaxShiftS: nan}
		},
	} {
		r := garden()
		change(&r)
		_, err := Run(r)
		if !faultAt(err, at) {
			t.Errorf("%s: %v", at, err)
		}
	}
}

// Of gaps between sectors, of winds without directions, and of obstacles nobody described, it is told.
func TestSurroundingsWarnings(t *testing.T) {
	r := garden()
	e := mustRun(t, r)
	if !says(&e, "obstacles_unknown") {
		t.Error("nothing is said of obstacles that are not described")
	}
	r.Site.Ground.Sectors = []GroundSector{{FromDeg: 0, ToDeg: 90, Ground: Ground{RoughnessM: 0.5, DisplacementM: 0}, ChangeAtM: nan}}
	w := wall()
	w.GrowthMPerYear, w.DistanceM, w.Porosity, w.HeightM = 0.5, 80, 0.4, 8
	r.Site.Obstacles = []shelter.Obstacle{w}
	e = mustRun(t, r)
	for _, code := range []string{"ground_sectors_gap", "directions_unknown", "trees_outgrow", "siting_rules_broken"} {
		if !says(&e, code) {
			t.Errorf("nothing is said of %s: %v", code, e.Warnings)
		}
	}
	if says(&e, "obstacles_unknown") {
		t.Error("obstacles that are described are called unknown")
	}
	r.Shear = Shear{Method: ShearPower, Exponent: 0.2}
	e = mustRun(t, r)
	if !says(&e, "ground_sectors_ignored") {
		t.Error("a power law is not said to ignore sectors")
	}
}

// BenchmarkSurroundings is a full site, 36 sectors with a change of ground each, 40 obstacles and 8 heights in a Weibull
// wind, beside the same without: what the surroundings add must stay under 2 ms.
func BenchmarkSurroundings(b *testing.B) {
	full := garden()
	full.Towers = nil
	for i := range 8 {
		full.Towers = append(full.Towers, Tower{HubHeightM: 20 + 3*float64(i), Cost: 1000})
	}
	full.Wind.MeasuredOver = &Ground{RoughnessM: 0.03, DisplacementM: 0}
	bare := full
	bare.Site.Obstacles = []shelter.Obstacle{}
	for i := range 36 {
		deg := 10 * float64(i)
		full.Site.Ground.Sectors = append(full.Site.Ground.Sectors, GroundSector{FromDeg: deg, ToDeg: deg + 10,
			Ground: Ground{RoughnessM: 0.1 + 0.01*float64(i), DisplacementM: 0}, ChangeAtM: 100 + 20*float64(i)})
	}
	for i := range 40 {
		full.Site.Obstacles = append(full.Site.Obstacles, shelter.Obstacle{BearingDeg: 9 * float64(i), DistanceM: 60 + 3*float64(i),
			HeightM: 5 + float64(i%7), WidthM: 12, Porosity: 0.3, GrowthMPerYear: 0.05})
	}
	full.Site.Relief = []terrain.Relief{{Shape: terrain.Ridge, HeightM: 20, HalfLengthM: 100, FromDeg: 200, ToDeg: 250}}
	for name, r := range map[string]Request{"without": bare, "full": full} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				mustRun(b, r)
			}
		})
	}
}

// A hub of the height that a warning names keeps every rule that a lower one breaks.
func TestTheNamedHubKeepsEveryRule(t *testing.T) {
	r := garden()
	r.Site.Obstacles = []shelter.Obstacle{{Name: "barn", BearingDeg: 200, DistanceM: 61, HeightM: 7.33, WidthM: 20, Porosity: 0}}
	r.Towers = []Tower{{HubHeightM: 12, Cost: 1}}
	for _, w := range mustRun(t, r).Heights[0].Warnings {
		if w.Code != "siting_rules_broken" {
			continue
		}
		_, rest, _ := strings.Cut(w.Detail, "a hub at ")
		var high float64
		if _, err := fmt.Sscanf(rest, "%g m", &high); err != nil {
			t.Fatal(err)
		}
		r.Towers[0].HubHeightM = high
		h := mustRun(t, r).Heights[0]
		for _, s := range h.Siting {
			if s.Broken {
				t.Errorf("at %g m %s is still broken", high, s.Rule)
			}
		}
		return
	}
	t.Error("no rule is broken")
}
