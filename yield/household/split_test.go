package household

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func even(kWh float64) (m [12]float64) {
	for i := range m {
		m[i] = kWh
	}
	return m
}

// Wind that makes 100 in each winter month and none in summer, sun the other way round; worked by hand.
func seasons() (wind, solar Offer) {
	wind, solar = Offer{Name: "mast", YearlyCost: 200}, Offer{Name: "array", YearlyCost: 50}
	for m := range 12 {
		if m < 3 || m > 8 {
			wind.MonthlyKWh[m] = 100
		} else {
			solar.MonthlyKWh[m] = 50
		}
	}
	return wind, solar
}

// 400 a year: one machine for 200 makes 600 kWh; 50 of array make 300. All solar: 8 × 300 = 2400 kWh at 0.1667; half and
// half: 600 + 1200 = 1800 at 0.2222, months 100 and 200: mean 150, deviation 50, evenness 1/3. By the fraction all wind:
// two machines, 1200 kWh at 0.3333; most even where both make 100·n = 50·k in their months: money 2x for wind
// and 1x for solar each 100 kWh a month, so wind's share is 2/3: between 0.65 (off by 0.026) and 0.7.
func TestSplitByHand(t *testing.T) {
	wind, solar := seasons()
	whole, err := Split(400, []Offer{wind}, &solar, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(whole.Rows) != 21 || whole.Cheapest != 0 || whole.MostEven != 10 || whole.LeastUnmet != -1 {
		t.Fatalf("rows %d, cheapest %d, most even %d, least unmet %d", len(whole.Rows), whole.Cheapest, whole.MostEven, whole.LeastUnmet)
	}
	near(t, "all solar", whole.Rows[0].CostPerKWh, 400.0/2400, 1e-12)
	// 0.45 of 400 is 180: not a machine, so all goes to the array; from 200 on there is one, and no second.
	if whole.Rows[9].Machines != 0 || whole.Rows[10].Machines != 1 || whole.Rows[20].Machines != 1 {
		t.Errorf("machines %g, %g, %g", whole.Rows[9].Machines, whole.Rows[10].Machines, whole.Rows[20].Machines)
	}
	near(t, "half and half", whole.Rows[20].CostPerKWh, 400.0/1800, 1e-12)
	near(t, "its evenness", whole.Rows[10].Evenness, 1.0/3, 1e-12)
	if !math.IsNaN(whole.Rows[0].UnmetShare) {
		t.Error("an unmet share without hours")
	}

	two, err := Split(400, []Offer{wind}, &solar, Options{Fraction: true, Shares: []float64{0, 0.5, 2.0 / 3, 1}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "all wind", two.Rows[3].CostPerKWh, 1.0/3, 1e-12)
	near(t, "most even", two.Rows[2].Evenness, 0, 1e-12)
	if two.MostEven != 2 || two.Cheapest != 0 {
		t.Errorf("most even %d, cheapest %d", two.MostEven, two.Cheapest)
	}
	alone, err := Split(100, []Offer{wind}, nil, Options{})
	if err != nil || len(alone.Warnings) != 1 || alone.Warnings[0].Code != "no_machine_affordable" || alone.Cheapest != -1 {
		t.Errorf("a budget below one machine: %v, %+v", err, alone.Warnings)
	}
}

// By the fraction the cost per kWh lies between those of wind and sun, and goes one way with the share; doubling the money
// changes no share and no cost per kWh.
func TestSplitByFractionIsAMixture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		positive := rapid.Float64Range(1, 1000)
		months := func(name string) (m [12]float64) {
			copy(m[:], rapid.SliceOfN(positive, 12, 12).Draw(t, name))
			return m
		}
		wind := Offer{YearlyCost: positive.Draw(t, "wind cost"), MonthlyKWh: months("wind")}
		solar := Offer{YearlyCost: positive.Draw(t, "solar cost"), MonthlyKWh: months("solar")}
		a, err := Split(500, []Offer{wind}, &solar, Options{Fraction: true})
		if err != nil {
			t.Fatal(err)
		}
		b, err := Split(1000, []Offer{wind}, &solar, Options{Fraction: true})
		if err != nil {
			t.Fatal(err)
		}
		up := wind.YearlyCost/wind.YearlyKWh() > solar.YearlyCost/solar.YearlyKWh()
		for i := range a.Rows {
			if math.Abs(a.Rows[i].CostPerKWh/b.Rows[i].CostPerKWh-1) > 1e-9 || math.Abs(a.Rows[i].Evenness-b.Rows[i].Evenness) > 1e-9 {
				t.Fatalf("row %d changes with the money", i)
			}
			if i > 0 && (a.Rows[i].CostPerKWh > a.Rows[i-1].CostPerKWh*(1+1e-9)) != up && math.Abs(a.Rows[i].CostPerKWh/a.Rows[i-1].CostPerKWh-1) > 1e-9 {
				t.Fatalf("row %d goes the wrong way", i)
			}
		}
	})
}

// A machine that makes 80 % and an array that makes 90 % of the first year's energy, evened out over their lives: half and
// half of the first test is 1800 kWh a year at first, 0.8·600 + 0.9·1200 = 1560 evened out.
func TestSplitCountsTheLife(t *testing.T) {
	wind, solar := seasons()
	wind.EvenShare, solar.EvenShare = 0.8, 0.9
	table, err := Split(400, []Offer{wind}, &solar, Options{Shares: []float64{0.5}})
	if err != nil {
		t.Fatal(err)
	}
	row := table.Rows[0]
	near(t, "first year", row.WindKWh+row.SolarKWh, 1800, 1e-9)
	near(t, "even year", row.EvenKWh, 1560, 1e-9)
	near(t, "cost", row.CostPerKWh, 400.0/1560, 1e-12)
	wind.EvenShare = -1
	_, err = Split(400, []Offer{wind}, &solar, Options{})
	wantFault(t, "wind[0].even_share", err)
}

// With hours, a row is the home simulated with what the row bought.
func TestSplitWithHours(t *testing.T) {
	in := year(t)
	wind := Offer{YearlyCost: 300, PowerW: in.WindW, MonthlyKWh: MonthlyKWh(in.WindW, commonYear)}
	solar := Offer{YearlyCost: 120, PowerW: in.SolarW, MonthlyKWh: MonthlyKWh(in.SolarW, commonYear)}
	battery := Battery{CapacityKWh: 8, PowerKW: 3, Efficiency: 0.9}
	table, err := Split(600, []Offer{wind}, &solar, Options{Home: &Input{LoadW: in.LoadW}, Battery: battery, BatteryYearlyCost: 100})
	if err != nil {
		t.Fatal(err)
	}
	row := table.Rows[10] // one machine, 300 of array
	for i := range in.SolarW {
		in.SolarW[i] *= 2.5
	}
	r := simulate(t, in, battery)
	near(t, "unmet share", row.UnmetShare, r.UnmetShare(), 1e-12)
	near(t, "spilled share", row.SpilledShare, r.SpilledShare(), 1e-12)
	near(t, "wind energy", row.WindKWh, r.WindKWh, 1e-6)
	near(t, "cost of what is used", row.CostPerUsedKWh, 700/(r.WindUsedKWh+r.SolarUsedKWh), 1e-9)
	for i := range table.Rows {
		if table.Rows[i].UnmetShare < table.Rows[table.LeastUnmet].UnmetShare {
			t.Errorf("row %d has less unmet than the best", i)
		}
	}
}

// A gap in the wind is left out of the rows without wind too, so that their shares are of the same time: the one known hour
// needs 1 kWh and has 0.5 of sun from 50 a year.
func TestSplitComparesTheSameSteps(t *testing.T) {
	wind, solar := seasons()
	wind.PowerW, solar.PowerW = []float64{500, math.NaN()}, []float64{500, 5000}
	table, err := Split(50, []Offer{wind}, &solar, Options{Home: &Input{LoadW: []float64{1000, 1000}, Months: []uint8{0, 0}}, Shares: []float64{0}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "unmet share", table.Rows[0].UnmetShare, 0.5, 1e-12)
}

func TestSplitFaults(t *testing.T) {
	for field, run := range map[string]func(w, s *Offer, o *Options) float64{
		"budget_per_year":        func(*Offer, *Offer, *Options) float64 { return 0 },
		"wind[0].yearly_cost":    func(w, _ *Offer, _ *Options) float64 { w.YearlyCost = 0; return 1 },
		"wind[0].monthly_kwh[2]": func(w, _ *Offer, _ *Options) float64 { w.MonthlyKWh[2] = math.NaN(); return 1 },
		"solar.power_w": func(w, _ *Offer, o *Options) float64 {
			w.PowerW = []float64{1}
			o.Home = &Input{LoadW: []float64{1}}
			return 1
		},
		"shares[0]":           func(_, _ *Offer, o *Options) float64 { o.Shares = []float64{1.1}; return 1 },
		"max_machines":        func(_, _ *Offer, o *Options) float64 { o.MaxMachines = -1; return 1 },
		"battery.power_kw":    func(_, _ *Offer, o *Options) float64 { o.Battery.CapacityKWh = 1; return 1 },
		"home":                func(_, _ *Offer, o *Options) float64 { o.Home = &Input{WindW: []float64{1}}; return 1 },
		"battery_yearly_cost": func(_, _ *Offer, o *Options) float64 { o.BatteryYearlyCost = -1; return 1 },
	} {
		w, s := seasons()
		var o Options
		budget := run(&w, &s, &o)
		_, err := Split(budget, []Offer{w}, &s, o)
		wantFault(t, field, err)
	}
	_, err := Split(1, nil, nil, Options{})
	wantFault(t, "wind", err)
}

// Half a year of 100 and half a year of 0 has mean 50 and deviation 50; a winter wind and a summer sun have correlation −1.
func TestComplements(t *testing.T) {
	wind, solar := seasons()
	c := Complements(wind.MonthlyKWh, solar.MonthlyKWh)
	near(t, "correlation", c.Correlation, -1, 1e-12)
	near(t, "evenness", c.WindEvenness, 1, 1e-12)
	if c.BothAbove != 0 || c.BothBelow != 0 || !c.WindAbove[0] || c.SolarAbove[0] || !c.SolarAbove[5] {
		t.Errorf("%+v", c)
	}
	if c := Complements(even(0.1), solar.MonthlyKWh); !math.IsNaN(c.Correlation) {
		t.Errorf("correlation %g of wind without seasons, want NaN", c.Correlation)
	}
	// 1 to 12 against their squares: Pearson 0.9746 (r = Σxy/√…, by hand: Sxy 1859, Sxx 143, Syy 25 443.67).
	var line, square [12]float64
	for m := range 12 {
		line[m], square[m] = float64(m+1), float64((m+1)*(m+1))
	}
	near(t, "correlation with squares", Complements(line, square).Correlation, 1859/math.Sqrt(143*(60710-650.0*650/12)), 1e-12)
}

func BenchmarkSplit21(b *testing.B) {
	in := year(b)
	wind := Offer{YearlyCost: 300, PowerW: in.WindW, MonthlyKWh: MonthlyKWh(in.WindW, commonYear)}
	solar := Offer{YearlyCost: 120, PowerW: in.SolarW, MonthlyKWh: MonthlyKWh(in.SolarW, commonYear)}
	o := Options{Home: &Input{LoadW: in.LoadW}, Battery: Battery{CapacityKWh: 8, PowerKW: 3, Efficiency: 0.9}, Fraction: true}
	for b.Loop() {
		if _, err := Split(600, []Offer{wind}, &solar, o); err != nil {
			b.Fatal(err)
		}
	}
}
