package chart

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"mastworth/resource"
	"mastworth/yield"
)

func pt(x, y float64) vg.Point { return vg.Point{X: vg.Length(x), Y: vg.Length(y)} }

// Marks stand where the numbers say: equal steps of energy are equal steps up (closed form).
func TestEnergyMarksAreInProportion(t *testing.T) {
	hubs, kWh := []float64{10, 20, 30, 40}, []float64{100, 200, 400, 800}
	e := parse(t, svgOf(t, EnergyByHeight(EnergyHeights{HubHeightM: hubs, NetKWh: kWh}), Options{}))
	var xs, ys []float64
	for _, m := range e.marks("mark") {
		n := numbers(t, m.Children[2].attr("d"))
		xs, ys = append(xs, n[0]), append(ys, n[1])
	}
	if len(xs) != 4 {
		t.Fatalf("%d marks", len(xs))
	}
	perKWh := (ys[0] - ys[3]) / 700
	for i := range xs {
		if got := (ys[0] - ys[i]) / perKWh; math.Abs(got-(kWh[i]-100)) > 1 {
			t.Errorf("mark %d is %g kWh above the first, want %g", i, got, kWh[i]-100)
		}
		if i > 0 && math.Abs(xs[i]-xs[i-1]-(xs[1]-xs[0])) > 0.02 {
			t.Errorf("mark %d is %g px to the right, want %g", i, xs[i]-xs[i-1], xs[1]-xs[0])
		}
	}
}

// Nothing, one number, no number, huge and tiny numbers: always a picture.
func TestOddData(t *testing.T) {
	huge, gaps := []float64{1e300, -1e300, 1e-300}, []float64{nan, math.Inf(1), nan}
	heights := []float64{10, 20, 30}
	charts := []Chart{{Name: "zero"}, EnergyByHeight(EnergyHeights{}), CostByHeight(HeightCosts{}), Months(MonthEnergy{}), WindRose(Rose{}),
		EnergyRose(EnergyFrom{}), SpeedHistogram(SpeedShares{}), EnergyBySpeed(CurveInWind{}), PowerCurves(nil, Units{}), LossWaterfall(LossChain{}),
		Tornado(Sensitivities{}), CashOverLife(CashFlow{}), SitePlan(Plan{}), CoverageCalendar(Coverage{}), MonthHourHeat(MonthHour{}),
		TwoHeights(HeightPair{}), TimelineFindings(Timeline{}), PromiseHarvest(Harvest{}),
		EnergyByHeight(EnergyHeights{HubHeightM: []float64{12}, NetKWh: []float64{700}, LowKWh: []float64{500}, HighKWh: []float64{900}, BestM: 12}),
		CostByHeight(HeightCosts{HubHeightM: []float64{12}, PerKWh: []float64{nan}, SolarPerKWh: []float64{0.2}}),
		WindRose(Rose{Shares: [][]float64{{1}}}), EnergyRose(EnergyFrom{EnergyShares: gaps}),
		SpeedHistogram(SpeedShares{EdgesMS: []float64{0, 1}, Shares: []float64{1}, Fit: resource.Weibull{Shape: 0.8, Scale: 3}}),
		CashOverLife(CashFlow{Turbine: []float64{-1}}), CoverageCalendar(Coverage{FirstYear: 1900, Shares: make([][12]float64, 120)}),
		TimelineFindings(Timeline{From: 0, To: 1, Lanes: []Lane{{"x", []Span{{-1e12, 1e12, "=", false}}}}}),
		SitePlan(Plan{Obstacles: []PlanObstacle{{"", 720, 0, nan, 1e9, true}, {"x", nan, 1, 1, 1, false}}}),
		PromiseHarvest(Harvest{Periods: []string{strings.Repeat("long ", 500)}, EstimatedKWh: []float64{1}, MeteredKWh: []float64{-2}}),
	}
	for _, list := range [][]float64{huge, gaps, {0, 0, 0}, {-1, -2, -3}} {
		charts = append(charts, EnergyByHeight(EnergyHeights{HubHeightM: heights, NetKWh: list, LowKWh: list, HighKWh: list}),
			EnergyByHeight(EnergyHeights{HubHeightM: list, NetKWh: heights}), CostByHeight(HeightCosts{HubHeightM: heights, PerKWh: list}),
			PowerCurves([]PowerCurve{{Name: "a", SpeedMS: heights, PowerW: list, UncertaintyW: list, Measured: true}, {Name: "b"}}, Units{}),
			CashOverLife(CashFlow{Turbine: list}), LossWaterfall(LossChain{GrossKWh: list[0], NetKWh: list[2], Names: make([]string, 3), LossKWh: list}),
			TwoHeights(HeightPair{LowMS: list, HighMS: heights}), Tornado(Sensitivities{Base: list[0], Of: []Sensitivity{{AtLow: list[1], AtHigh: list[2]}}}),
			EnergyBySpeed(CurveInWind{SpeedMS: heights, PowerW: list, EdgesMS: []float64{0, 1, 2, 3}, TimeShares: list, EnergyKWh: list}))
	}
	for i, c := range charts {
		for _, o := range allOptions {
			raw := svgOf(t, c, o)
			parse(t, raw)
			if bytes.Contains(raw, []byte("NaN")) || bytes.Contains(raw, []byte("Inf")) {
				t.Errorf("%d, %s: a number that is none", i, c.Name)
			}
		}
		var buf bytes.Buffer
		if err := c.PNG(&buf, Options{Width: NarrowWidth}); err != nil {
			t.Error(err)
		}
		if c.Empty() && len(parse(t, svgOf(t, c, Options{})).marks("mark")) > 0 {
			t.Errorf("%d, %s: empty, but with marks", i, c.Name)
		}
	}
}

// Any energies and heights, in any order: no panic, XML, and as many marks as there are whole pairs.
func TestAnyHeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 12).Draw(t, "n")
		number := rapid.OneOf(rapid.Float64(), rapid.Just(math.NaN()), rapid.Float64Range(-1e5, 1e5))
		hubs, kWh := rapid.SliceOfN(number, n, n).Draw(t, "hubs"), rapid.SliceOfN(number, n, n).Draw(t, "kWh")
		c := EnergyByHeight(EnergyHeights{HubHeightM: hubs, NetKWh: kWh, BestM: 10})
		var buf bytes.Buffer
		if err := c.SVG(&buf, Options{}); err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(buf.Bytes(), []byte("NaN")) {
			t.Fatal("NaN in a picture")
		}
	})
}

// CSV has the table's shape and the very numbers; an unknown one is an empty cell, a dash in the table.
func TestCSVAndTable(t *testing.T) {
	for _, c := range sampleCharts(t) {
		var buf bytes.Buffer
		if err := c.CSV(&buf); err != nil {
			t.Fatal(err)
		}
		records, err := csv.NewReader(&buf).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		head, rows := c.Table()
		if len(records) != len(rows)+1 || len(records[0]) != len(head) || len(rows) == 0 {
			t.Errorf("%s: %d lines of CSV, %d rows", c.Name, len(records), len(rows))
		}
		if strings.Contains(buf.String(), "NaN") {
			t.Errorf("%s: NaN in the CSV", c.Name)
		}
	}
	c := EnergyByHeight(EnergyHeights{HubHeightM: []float64{10, 20}, NetKWh: []float64{1234.56789, nan}})
	var buf bytes.Buffer
	if err := c.CSV(&buf); err != nil {
		t.Fatal(err)
	}
	if want := "Hub height (m),Net energy (kWh)\n10,1234.56789\n20,\n"; buf.String() != want {
		t.Errorf("CSV is %q, want %q", buf.String(), want)
	}
	if _, rows := c.Table(); rows[1][1] != wordUnknown || rows[0][1] != "1235" {
		t.Errorf("the table is %q", rows)
	}
}

// What a distribution's tail alone makes is told as less than a thousandth of a per cent; files have its digits.
func TestTinyShares(t *testing.T) {
	rose := WindRose(Rose{ClassEnds: []float64{5}, Shares: [][]float64{{0.5, 2.5e-14}, {0, 0}, {0.4999, 9.8e-6}, {0, 1e-5}}, CalmShare: nan})
	_, rows := rose.Table()
	for at, want := range map[[2]int]string{{0, 2}: "50", {0, 3}: "under 0.001", {1, 2}: "0", {2, 3}: "under 0.001", {3, 3}: "0.001"} {
		if got := rows[at[0]][at[1]]; got != want {
			t.Errorf("row %d, column %d: %q, want %q", at[0], at[1], got, want)
		}
	}
	var b bytes.Buffer
	if err := rose.CSV(&b); err != nil || !strings.Contains(b.String(), "2.5e-12") {
		t.Error(err, b.String())
	}
}

// A name that a spreadsheet would run, or markup, does no harm.
func TestHostileNames(t *testing.T) {
	c := SitePlan(Plan{Obstacles: []PlanObstacle{{`=1+1<script>&"` + "\x00", 10, 20, 5, 5, false}}})
	var buf bytes.Buffer
	if err := c.CSV(&buf); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(buf.String(), `'=1+1`) {
		t.Errorf("a formula stands in the CSV: %s", buf.String())
	}
	if raw := svgOf(t, c, Options{}); bytes.Contains(raw, []byte("<script")) {
		t.Error("markup got into the SVG")
	} else {
		parse(t, raw)
	}
}

// Feet, miles an hour: 1 ft = 0.3048 m, 1 mile = 1609.344 m exactly (NIST SP 811, appendix B).
func TestFeetAndMph(t *testing.T) {
	u := Units{FeetAndMph: true}
	if x, unit := u.length(30.48); math.Abs(x-100) > 1e-9 || unit != "ft" {
		t.Errorf("30.48 m is %g %s", x, unit)
	}
	if x, unit := u.speeds([]float64{44.704}); math.Abs(x[0]-100) > 1e-9 || unit != "mph" {
		t.Errorf("44.704 m/s is %g %s", x[0], unit)
	}
	// 20 m are 65.6168 ft: told in whole feet wherever they are read, in a file with all digits.
	c := EnergyByHeight(EnergyHeights{HubHeightM: []float64{2, 20}, NetKWh: []float64{100, 900}, BestM: 20, Units: u})
	var file strings.Builder
	if err := c.CSV(&file); err != nil {
		t.Fatal(err)
	}
	if _, rows := c.Table(); rows[0][0] != "6.6" || rows[1][0] != "66" || !strings.Contains(c.Alt(), "66 ft") || !strings.Contains(file.String(), "\n65.6167979,900") {
		t.Errorf("%v, %q, %q", rows, c.Alt(), file.String())
	}
}

// The bins add up to the whole: their energies to the year by the exact integral over the same wind, their times to all but the
// calms and what blows faster.
func TestWindBinsAddUp(t *testing.T) {
	speeds, powers := sampleCurve()
	curve, err := yield.NewCurve(points(speeds, powers), 1.225)
	if err != nil {
		t.Fatal(err)
	}
	w := resource.Weibull{Shape: 2, Scale: 6}
	_, share, kWh := WindBins(curve, w, 0.1, 1, 40)
	if got, want := sum(kWh), 0.9*yield.AnnualKWh(curve.MeanPowerWeibull(w)); math.Abs(got/want-1) > 2e-4 {
		t.Errorf("bins add up to %.6g kWh, the integral is %.6g", got, want)
	}
	if got := sum(share); math.Abs(got-0.9) > 1e-6 {
		t.Errorf("times add up to %g", got)
	}
	// Rayleigh with a mean of 6·Γ(1.5) m/s: below the scale speed lie 1 − 1/e of the speeds (closed form).
	if got := sum(share[:6]) / 0.9; math.Abs(got-(1-1/math.E)) > 1e-9 {
		t.Errorf("below the scale speed lie %g", got)
	}
}

// Ticks are round, rise, and hold the data.
func TestScales(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := rapid.SliceOfN(rapid.Float64Range(-1e9, 1e9), 1, 5).Draw(t, "list")
		want := rapid.IntRange(2, 9).Draw(t, "want")
		s := scaleOf(rapid.Bool().Draw(t, "zero"), want, list)
		for i, x := range s.ticks {
			if i > 0 && !(x.Value > s.ticks[i-1].Value) {
				t.Fatal("ticks do not rise")
			}
		}
		for _, x := range list {
			if slack := (s.max - s.min) * 1e-8; x < s.min-slack || x > s.max+slack { // a part of a pixel
				t.Fatalf("%g lies outside %g to %g", x, s.min, s.max)
			}
		}
		if len(s.ticks) < 2 || len(s.ticks) > want+3 {
			t.Fatalf("%d ticks where %d are wanted", len(s.ticks), want)
		}
	})
}

func BenchmarkSVG(b *testing.B) {
	for _, c := range sampleCharts(b) {
		b.Run(c.Name, func(b *testing.B) {
			b.ReportAllocs()
			var buf bytes.Buffer
			for b.Loop() {
				buf.Reset()
				if err := c.SVG(&buf, Options{}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(buf.Len())/1000, "kB")
		})
	}
}

func BenchmarkTwoHeightsYear(b *testing.B) {
	d := samplePair(52560)
	for b.Loop() {
		TwoHeights(d)
	}
}

// Each bar has the result there beyond its end, and its title says what was moved.
func TestTornadoTellsTheResults(t *testing.T) {
	c := Tornado(Sensitivities{Result: "A kWh of wind", Unit: "EUR/kWh", Base: 0.219, Of: []Sensitivity{
		{"another place", "less", "more", 0.285, 0.177}, {"moved to the hub", "less", "more", 0.265, 0.187}, {"the long run", "less", "more", 0.248, 0.196}}})
	for _, width := range []int{340, 410, 720} {
		e := parse(t, svgOf(t, c, Options{Width: width, Bare: true}))
		base := 0.0
		for _, class := range []string{"mark low", "mark high"} {
			for i, m := range e.marks(class) {
				bar, words := numbers(t, m.Children[1].attr("d")), m.Children[2]
				x, _ := strconv.ParseFloat(words.attr("x"), 64)
				if from, to := min(bar[0], bar[2]), max(bar[0], bar[2]); x > from && x < to {
					t.Errorf("%d px: the number %q lies on its bar", width, words.Text)
				}
				if base == 0 {
					base = bar[0]
				}
				if bar[0] != base || m.texts()[0] == "" {
					t.Errorf("%d px: bar %d of %s begins at %g, not %g", width, i, class, bar[0], base)
				}
			}
		}
	}
	if raw := string(svgOf(t, c, Options{})); !strings.Contains(raw, "moved to the hub, more: 0.187") {
		t.Error("no title says what was moved")
	}
}

// A tick stands at each of a few heights, where they are not too close; many have round ones.
func TestTicksAtHeights(t *testing.T) {
	for _, one := range []struct {
		heights []float64
		want    string
	}{{[]float64{12, 18, 24}, "12 18 24"}, {[]float64{12}, "12"}, {[]float64{10, 10.5, 30}, "10 30"}, {[]float64{24, 12}, "12 24"}, {nil, "0 0.2 0.4 0.6 0.8 1.0"},
		{[]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, "2 4 6 8 10"}} {
		var got []string
		for _, tick := range atEach(one.heights, wordMetres).ticks {
			got = append(got, tick.Label)
		}
		if strings.Join(got, " ") != one.want {
			t.Errorf("%v: ticks at %q, want %s", one.heights, got, one.want)
		}
	}
}

// What lies in parts between two times is a line from one to the other, not a bar that would say it was all of the time.
func TestScatteredFindings(t *testing.T) {
	const day = 86400
	draw := func(scattered bool) string {
		var b strings.Builder
		c := TimelineFindings(Timeline{From: 0, To: 100 * day, Lanes: []Lane{{"absent", []Span{{10 * day, 90 * day, "in 40 gaps", scattered}}}}})
		if err := c.SVG(&b, Options{}); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	all, parts := draw(false), draw(true)
	if strings.Contains(all, word("here_and_there")) || !strings.Contains(parts, word("here_and_there")) || !strings.Contains(parts, word("throughout")) {
		t.Error("the legend tells the two apart where there are two")
	}
	if all == parts {
		t.Error("both are drawn alike")
	}
}
