package assess

import (
	"math"
	"testing"

	"mastworth/resource"
	"mastworth/resource/shelter"
	"mastworth/resource/terrain"
)

// ring is obstacles all round.
func ring(distanceM, heightM, porosity float64) []shelter.Obstacle {
	var out []shelter.Obstacle
	for i := range 36 {
		out = append(out, shelter.Obstacle{BearingDeg: 10 * float64(i), DistanceM: distanceM, HeightM: heightM, WidthM: 2 * distanceM * math.Tan(math.Pi/36),
			Porosity: porosity})
	}
	return out
}

func measuredHere(r Request) Request {
	yes := true
	r.Wind.MeasuredHere = &yes
	return r
}

// Trees never make more wind of what a sensor behind them measured than a formula good to a third can answer for.
func TestShelteredSensorIsNotUndoneWithoutBounds(t *testing.T) {
	s := invented(31, 366*24)
	for i := range s.Channels {
		s.Channels[i].HeightM = 4
	}
	r := measuredHere(at10m(s))
	r.Towers = []Tower{{HubHeightM: 24, Cost: 1}}
	r.Site.Obstacles = []shelter.Obstacle{}
	open := mustRun(t, r).Heights[0].Wind.MeanSpeedMS
	r.Site.Obstacles = ring(52, 10, 0.2)
	e := mustRun(t, r)
	if v := e.Heights[0].Wind.MeanSpeedMS; v > open/leastKept {
		t.Errorf("trees made %g m/s of %g m/s", v, open)
	}
	if !says(&e, "sensor_sheltered") {
		t.Error("nothing is said of the sensor's shelter")
	}
}

// The band of a hub's and a sensor's shelter is that of one error going through both.
func TestBandOfASharedError(t *testing.T) {
	s := invented(32, 366*24)
	r := measuredHere(at10m(s))
	r.Shear.Method = ShearLog
	r.Towers = []Tower{{HubHeightM: 18, Cost: 1}}
	r.Site.Obstacles = []shelter.Obstacle{{BearingDeg: 200, DistanceM: 120, HeightM: 10, WidthM: 400, Porosity: 0.5}}
	h := mustRun(t, r).Heights[0]
	kept := h.Surroundings.Directions[20].Obstacle
	at := shelter.At(r.Site.Obstacles, 10, func(int) float64 { return 0.1 }, 0).Factor[20]
	wantLow := (1 - 0.7*(1-kept)) / (1 - 0.7*(1-at)) / (kept / at)
	if wantLow >= 1 {
		t.Fatalf("the case is not one: %g, %g", kept, at)
	}
	if s := h.Surroundings; !(s.SpeedLowMS < h.Wind.MeanSpeedMS && s.SpeedHighMS > h.Wind.MeanSpeedMS) {
		t.Errorf("%g to %g about %g", s.SpeedLowMS, s.SpeedHighMS, h.Wind.MeanSpeedMS)
	}
}

// twoHeights is wind at 10 and 20 m over 0.1 m of roughness, behind a ring of trees: the log law times the ring's shelter.
func twoHeights(obstacles []shelter.Obstacle) *resource.Series {
	s := invented(33, 366*24)
	rough := func(int) float64 { return 0.1 }
	upper := resource.Channel{Name: "upper", Quantity: resource.Speed, HeightM: 20, Values: make([]float64, s.Len())}
	low, high := shelter.At(obstacles, 10, rough, 0), shelter.At(obstacles, 20, rough, 0)
	step := math.Log(20/0.1) / math.Log(10/0.1)
	for i, v := range s.Channels[0].Values {
		d := resource.SectorOf(s.Channels[1].Values[i], 36)
		s.Channels[0].Values[i] = v * low.Factor[d]
		upper.Values[i] = v * step * high.Factor[d]
	}
	s.Channels = append(s.Channels, upper)
	return s
}

// A profile measured in the wake of trees is too steep for the wind above them: their share is taken out before it is followed.
func TestProfileMeasuredInAWake(t *testing.T) {
	obstacles := ring(120, 10, 0.4)
	r := measuredHere(at10m(twoHeights(obstacles)))
	r.Site.Obstacles = obstacles
	r.Towers = []Tower{{HubHeightM: 30, Cost: 1}, {HubHeightM: 40, Cost: 2}}
	e := mustRun(t, r)
	if e.Profile.Method != ShearMeasured {
		t.Fatal("the profile was not followed")
	}
	rough := func(int) float64 { return 0.1 }
	from := shelter.At(obstacles, 20, rough, 0).Factor[20]
	for _, h := range e.Heights {
		truth := math.Log(h.HubHeightM/0.1) / math.Log(20/0.1) * shelter.At(obstacles, h.HubHeightM, rough, 0).Factor[20] / from
		got := h.Wind.MeanSpeedMS / (mustRun(t, at20(r)).Heights[0].Wind.MeanSpeedMS)
		if got > 1.04*truth || got < 0.96*truth {
			t.Errorf("%g m: factor %.3f from 20 m, the truth is %.3f", h.HubHeightM, got, truth)
		}
		if s := h.Surroundings; s.SpeedLowMS >= h.Wind.MeanSpeedMS || s.SpeedHighMS <= h.Wind.MeanSpeedMS {
			t.Errorf("%g m: no band: %g to %g", h.HubHeightM, s.SpeedLowMS, s.SpeedHighMS)
		}
	}
}

func at20(r Request) Request {
	r.Towers = []Tower{{HubHeightM: 20, Cost: 1}}
	return r
}

// A measured profile does not jump when the ground it was measured over differs by a hair from the site's.
func TestMeasuredProfileOverNearlyTheSameGround(t *testing.T) {
	r := at10m(twoHeights(nil))
	r.Site.Ground = Ground{RoughnessM: 0.1, DisplacementM: 0}
	want := mustRun(t, r).Heights[1].Wind.MeanSpeedMS
	r.Wind.MeasuredOver = &Ground{RoughnessM: 0.101, DisplacementM: 0}
	near(t, "mean", mustRun(t, r).Heights[1].Wind.MeanSpeedMS, want, 0.005)
}

// Ground by sector that a followed profile does not use is not passed over in silence.
func TestSectorsBesideAMeasuredProfile(t *testing.T) {
	r := at10m(twoHeights(nil))
	r.Site.Ground.Sectors = []GroundSector{{FromDeg: 90, ToDeg: 300, Ground: Ground{RoughnessM: 0.5, DisplacementM: 2}, ChangeAtM: nan}}
	e := mustRun(t, r)
	if !says(&e, "ground_sectors_ignored") || says(&e, "ground_sectors_gap") {
		t.Errorf("%v", e.Warnings)
	}
}

// Speeds without a direction are dealt out like the others of their record.
func TestDirectionsThatAreMissing(t *testing.T) {
	s := invented(34, 366*24)
	for i := range s.Times {
		s.Channels[1].Values[i] = 230 + float64(i%21)
	}
	r := at10m(s)
	no := false
	r.Wind.MeasuredHere = &no
	r.Site.Obstacles = []shelter.Obstacle{{BearingDeg: 240, DistanceM: 80, HeightM: 8, WidthM: 300, Porosity: 0.3}}
	r.Towers = []Tower{{HubHeightM: 12, Cost: 1}}
	want := mustRun(t, r).Heights[0].Energy.GrossKWh
	half := s.WithOwnFlags()
	half.Channels[1].Values = append([]float64(nil), s.Channels[1].Values...)
	for i := range half.Channels[1].Values {
		if i%2 == 1 {
			half.Channels[1].Values[i] = nan
		}
	}
	r.Wind.Record = &Record{Ref: "half", Series: half, HeightM: nan}
	e := mustRun(t, r)
	near(t, "energy", e.Heights[0].Energy.GrossKWh, want, 0.01)
	if !says(&e, "directions_missing") {
		t.Error("nothing is said of the missing directions")
	}
	r.Wind.Rose = []float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}
	if e = mustRun(t, r); !says(&e, "rose_not_used") {
		t.Error("a rose that is not used is passed over in silence")
	}
}

// Wind without times and wind without a vane are one wind: a record without directions makes what its distribution makes.
func TestRecordWithoutVane(t *testing.T) {
	s := invented(35, 4*366*24)
	s.Channels = s.Channels[:1]
	r := at10m(s)
	no := false
	r.Wind.MeasuredHere = &no
	r.Shear.Method = ShearLog
	r.Wind.MeasuredOver = nil
	r.Site.Obstacles = ring(70, 9, 0.2)[10:24]
	r.Site.Relief = []terrain.Relief{{Shape: terrain.Ridge, HeightM: 25, HalfLengthM: 100, FromDeg: 0, ToDeg: 100}}
	rec := mustRun(t, r).Heights[1]
	b := mustRun(t, at10m(s)).Heights[0].Wind.Weibull
	r.Wind.Record, r.Wind.Weibull = nil, &Weibull{ScaleMS: b.ScaleMS, Shape: b.Shape, HeightM: 10}
	dist := mustRun(t, r).Heights[1]
	near(t, "mean", rec.Wind.MeanSpeedMS, dist.Wind.MeanSpeedMS, 0.01)
	near(t, "energy at one air", rec.Energy.GrossKWh/rec.Wind.AirDensityKgM3, dist.Energy.GrossKWh/dist.Wind.AirDensityKgM3, 0.02)
}

// A hub inside the cover of a single sector is refused whatever the method.
func TestHubInsideOneSector(t *testing.T) {
	for name, r := range map[string]Request{"measured": at10m(twoHeights(nil)), "power": garden(), "log": garden()} {
		switch name {
		case "power":
			r.Shear = Shear{Method: ShearPower, Exponent: 0.2}
		case "log":
			r.Shear.Method = ShearLog
			r.Wind.MeasuredOver = &Ground{RoughnessM: 0.03, DisplacementM: 0}
		}
		r.Site.Ground.Sectors = []GroundSector{{FromDeg: 0, ToDeg: 90, Ground: Ground{RoughnessM: 1, DisplacementM: 20}, ChangeAtM: nan}}
		r.Towers = []Tower{{HubHeightM: 12, Cost: 1}}
		if name != "log" {
			no := false
			r.Wind.MeasuredHere = &no
			r.Wind.MeasuredOver = &Ground{RoughnessM: 0.03, DisplacementM: 0}
		}
		if _, err := Run(r); !faultAt(err, "towers[0].hub_height_m") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What a sector's ground is rough with is warned of like ground all round.
func TestRoughSectorIsWarnedOf(t *testing.T) {
	r := garden()
	r.Site.Ground = Ground{RoughnessM: 0.03, DisplacementM: 0,
		Sectors: []GroundSector{{FromDeg: 0, ToDeg: 360, Ground: Ground{RoughnessM: 1, DisplacementM: 0}, ChangeAtM: nan}}}
	e := mustRun(t, r)
	for _, code := range []string{"measuring_ground_assumed", "hub_near_canopy"} {
		if !says(&e, code) {
			t.Errorf("nothing is said of %s", code)
		}
	}
}

// Trees described as obstacles and as ground are said to count twice.
func TestTreesTwice(t *testing.T) {
	r := garden()
	r.Site.Ground = Ground{RoughnessM: 1, DisplacementM: 0}
	r.Site.Obstacles = ring(120, 10, 0.4)[:3]
	if e := mustRun(t, r); !says(&e, "obstacle_in_cover") {
		t.Error("nothing is said")
	}
}
