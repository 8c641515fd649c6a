package load

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"time"
)

// document is a request document. Every number in one is made up.
type document = map[string]any

var (
	covers   = []string{"open", "roughly open", "rough", "very rough", "closed"}
	controls = []string{"furling", "stall", "pitch", "none"}
)

// garden is one of many invented ones, the same each time by its number. record is where its wind comes from; empty, it comes from a
// mean.
func garden(number int, record string) document {
	rng := rand.New(rand.NewPCG(uint64(number), 7))
	between := func(low, high float64) float64 { return math.Round(100*(low+(high-low)*rng.Float64())) / 100 }
	site := document{"name": fmt.Sprintf("Garden %03d", number), "latitude": between(46, 58), "longitude": between(-8, 16),
		"elevation_m": between(0, 400), "ground": document{"cover": covers[rng.IntN(len(covers))]}}
	if rng.IntN(3) == 0 {
		var around []document
		for i := range 1 + rng.IntN(5) {
			around = append(around, document{"name": fmt.Sprintf("obstacle %d", i), "bearing_deg": between(0, 359), "distance_m": between(40, 200),
				"height_m": between(2, 5), "width_m": between(5, 80), "porosity": between(0, 0.6)})
		}
		site["obstacles"] = around
	}
	wind := document{"mean": document{"speed_m_s": between(3, 6.5), "height_m": 10, "shape": between(1.7, 2.3)},
		"measured_over": document{"cover": "open"}}
	if record != "" {
		wind = document{"record": document{"id": record}}
	}
	var towers []document
	for i := range 1 + rng.IntN(5) {
		h := 10 + 4*float64(i)
		towers = append(towers, document{"hub_height_m": h, "cost": 40*h + 2.2*h*h})
	}
	d := document{"site": site, "wind": wind, "turbine": machine(number, rng), "towers": towers,
		"losses": document{"availability": between(0.02, 0.08), "wiring": 0.03, "conversion": 0.06, "other": 0.03},
		"money": document{"currency": "EUR", "turbine_cost": between(900, 4000), "other_cost": 400, "yearly_cost": 80,
			"life_years": 15 + rng.IntN(10), "discount_rate": 0.04, "price_per_kwh": between(0.18, 0.4)},
		"solar": document{"cost_per_kw": between(1000, 1700), "tilt_deg": "best", "azimuth_deg": 180, "losses": 0.14}}
	if rng.IntN(4) == 0 {
		d["uncertainty"] = document{"draws": 0}
	}
	return d
}

// machine is an invented one: every eighth is a design of boards, which is worked out; the others have a power curve.
func machine(number int, rng *rand.Rand) document {
	if number%8 == 0 {
		return document{"name": fmt.Sprintf("boards %d", number), "design": document{
			"rotor": document{"diameter_m": 2 + 0.1*float64(rng.IntN(8)), "hub_diameter_m": 0.3, "blades": 3 + rng.IntN(4), "pitch_deg": 12,
				"board": document{"root_chord_m": 0.14}, "section": "curved_plate"},
			"generator": document{"volts_per_rpm": 0.11, "resistance_ohm": 0.9, "iron_torque_nm": 0.08, "cogging_nm": 0.15, "rated_current_a": 14},
			"gear":      document{"ratio": "1:2"}, "load": document{"battery": document{"volts_v": 25}},
			"wire": document{"length_m": 25, "area_mm2": 10}, "furling": document{"start_m_s": 11, "full_m_s": 28}}}
	}
	diameter := 1.8 + 0.2*float64(rng.IntN(10))
	rated := math.Round(150 * diameter * diameter)
	var points [][]float64
	for v := 3.0; v <= 12; v++ {
		points = append(points, []float64{v, math.Round(rated * math.Pow((v-2)/10, 1.8))})
	}
	points = append(points, []float64{20, math.Round(rated * 0.6)}, []float64{25, 0})
	return document{"name": fmt.Sprintf("machine %d", number), "rotor_diameter_m": diameter, "rated_power_w": rated,
		"regulation": controls[rng.IntN(len(controls))], "power_curve": document{"air_density_kg_m3": 1.225, "points": points}}
}

// logged is a made-up logger file of one year, hourly, the same each time by its number.
func logged(number int) []byte {
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),wind speed 6 m (m/s),wind direction 10 m (deg),temperature (C)\n")
	rng := rand.New(rand.NewPCG(uint64(number), 11))
	walk, turn := rng.NormFloat64(), 225.0
	start := time.Date(2023, time.January, 1, 0, 0, 0, 0, time.UTC)
	for h := range 365 * 24 {
		at := start.Add(time.Duration(h) * time.Hour)
		walk = 0.93*walk + math.Sqrt(1-0.93*0.93)*rng.NormFloat64()
		turn += 12*rng.NormFloat64() + 0.02*(225-turn)
		season := math.Cos(2 * math.Pi * float64(at.YearDay()-20) / 365)
		// The walk is normal; its probability through the Weibull quantile gives speeds.
		v := (3.4 + 0.4*float64(number)) * (1 + 0.18*season) * math.Pow(-math.Log1p(-0.5*math.Erfc(-walk/math.Sqrt2)), 1/1.9)
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%.0f,%.1f\n", at.Format("2006-01-02 15:04"), v, 0.87*v, math.Mod(turn+720, 360), 10.5-7*season+rng.NormFloat64())
	}
	return b.Bytes()
}
