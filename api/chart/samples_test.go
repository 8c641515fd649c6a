package chart

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"mastworth/resource"
	"mastworth/yield"
)

// Invented data, one of every chart.

var (
	sampleHubs = []float64{9, 12, 15, 18, 24, 30}
	sampleKWh  = []float64{410, 690, 960, 1190, 1530, 1790}
)

func times(list []float64, by float64) []float64 { return over(list, 1/by) }

func sampleCharts(t testing.TB) []Chart {
	t.Helper()
	curveMS, curveW := sampleCurve()
	curve, err := yield.NewCurve(points(curveMS, curveW), 1.225)
	if err != nil {
		t.Fatal(err)
	}
	wind := resource.Weibull{Shape: 1.9, Scale: 5.4}
	edges, share, kWh := WindBins(curve, wind, 0.03, 1, 20)
	return append([]Chart{
		EnergyByHeight(EnergyHeights{HubHeightM: sampleHubs, NetKWh: sampleKWh, LowKWh: times(sampleKWh, 0.78), HighKWh: times(sampleKWh, 1.24),
			RangeWords: "80 % of outcomes", BestM: 24}),
		CostByHeight(HeightCosts{HubHeightM: sampleHubs, PerKWh: []float64{0.92, 0.61, 0.49, 0.44, 0.42, 0.45},
			LowPerKWh: []float64{0.7, 0.5, 0.4, 0.36, 0.34, 0.36}, HighPerKWh: []float64{1.2, 0.8, 0.63, 0.57, 0.55, 0.6},
			SolarPerKWh: []float64{0.19, 0.18, 0.18, 0.17, 0.17, 0.17}, PricePerKWh: 0.31, BestM: 24, Units: Units{Currency: "EUR"}}),
		Months(MonthEnergy{WindKWh: []float64{190, 170, 165, 130, 105, 80, 70, 75, 100, 140, 160, 185},
			SolarKWh: []float64{35, 60, 120, 170, 210, 220, 215, 190, 135, 85, 40, 26}}),
		WindRose(sampleRose()),
		EnergyRose(EnergyFrom{EnergyShares: []float64{.03, .04, .06, .05, .03, .04, .10, .20, .23, .13, .06, .03},
			TimeShares: []float64{.05, .06, .08, .07, .05, .06, .10, .15, .16, .11, .07, .04}}),
		SpeedHistogram(SpeedShares{EdgesMS: edges, Shares: jitter(share), Fit: wind, CalmShare: 0.03}),
		EnergyBySpeed(CurveInWind{SpeedMS: curveMS, PowerW: curveW, EdgesMS: edges, TimeShares: share, EnergyKWh: kWh}),
		PowerCurves([]PowerCurve{{Name: "designed", SpeedMS: curveMS, PowerW: curveW},
			{Name: "measured", SpeedMS: curveMS[3:12], PowerW: times(curveW[3:12], 0.87), UncertaintyW: times(curveW[3:12], 0.06), Measured: true}}, Units{}),
	}, moreSamples()...)
}

func moreSamples() []Chart {
	gaps := math.NaN()
	return []Chart{
		LossWaterfall(LossChain{GrossKWh: 1980, NetKWh: 1530, Names: []string{"obstacles still to grow", "wire", "turbulence and yaw", "downtime", "icing"},
			LossKWh: []float64{90, 60, 140, 130, 30}}),
		Tornado(Sensitivities{Result: "Net energy", Unit: "kWh a year", Base: 1530, Of: []Sensitivity{
			{"roughness of the ground", "0.10 m", "0.40 m", 1690, 1350}, {"mean wind", "−6 %", "+6 %", 1290, 1770},
			{"downtime", "3 %", "12 %", 1580, 1430}, {"porosity of the hedge", "30 %", "60 %", 1500, 1555}}}),
		CashOverLife(CashFlow{Turbine: money(-9000, 480), Solar: money(-9000, 890), Units: Units{Currency: "EUR"}, Discounted: true}),
		SitePlan(Plan{Obstacles: []PlanObstacle{{"barn", 250, 38, 8, 22, true}, {"hedge", 200, 25, 3, 60, false}, {"poplars", 285, 90, 21, 35, true},
			{"house", 40, 60, 7, 14, false}, {"wood", 130, 900, 18, 400, false}},
			Circles: []PlanCircle{{91.44, "91 m: 10.7 m above all within"}, {152.4, "152 m"}}}),
		CoverageCalendar(Coverage{FirstYear: 2021, Shares: [][12]float64{{gaps, gaps, .4, .99, 1, 1, .98, .71, .2, .9, 1, 1},
			{1, 1, .95, 1, 1, 0, .33, 1, 1, 1, 1, .88}, {1, 1, 1, 1, .6, gaps, gaps, gaps, gaps, gaps, gaps, gaps}}}),
		MonthHourHeat(sampleHeat()),
		TwoHeights(samplePair(20000)),
		TimelineFindings(sampleTimeline()),
		PromiseHarvest(Harvest{Periods: []string{"2023 Q1", "Q2", "Q3", "Q4", "2024 Q1", "Q2"}, EstimatedKWh: []float64{525, 315, 245, 485, 525, 315},
			CorrectedKWh: []float64{560, 290, 250, 440, gaps, 330}, MeteredKWh: []float64{510, 270, 238, 402, 498, 310}}),
	}
}

func sampleCurve() (speeds, powers []float64) {
	for v := 0; v <= 20; v++ {
		speeds = append(speeds, float64(v))
		powers = append(powers, min(1000, max(0, 1.6*(math.Pow(float64(v), 3)-22))))
	}
	return speeds, powers
}

func points(speeds, powers []float64) (out []yield.Point) {
	for i := range speeds {
		out = append(out, yield.Point{SpeedMS: speeds[i], PowerW: powers[i]})
	}
	return out
}

func jitter(list []float64) []float64 {
	out := append([]float64(nil), list...)
	for i := range out {
		out[i] *= 1 + 0.09*math.Sin(float64(5*i))
	}
	return out
}

func money(outlay, year float64) []float64 {
	out := []float64{outlay}
	for range 20 {
		out = append(out, out[len(out)-1]+year)
	}
	return out
}

func sampleRose() Rose {
	d := Rose{ClassEnds: []float64{3, 6, 9, 12}, CalmShare: 0.03}
	for i := range 12 {
		far := 0.05 + 0.05*(1+math.Cos(float64(i-8)*math.Pi/6))
		d.Shares = append(d.Shares, []float64{far * .3, far * .36, far * .2, far * .1, far * .04})
	}
	return d
}

func sampleHeat() MonthHour {
	d := MonthHour{What: "Wind speed", Unit: "m/s"}
	for m := range d.Values {
		for h := range d.Values[m] {
			d.Values[m][h] = 5 + 1.2*math.Cos(float64(m)*math.Pi/6) + 0.9*math.Sin(float64(h-8)*math.Pi/12)
		}
	}
	d.Values[5][3] = math.NaN()
	return d
}

func samplePair(n int) HeightPair {
	d := HeightPair{LowM: 10, HighM: 24}
	for i := range n {
		v := 4 + 3*math.Sin(float64(i)*0.7) + 2.5*math.Sin(float64(i)*0.013) + 2.4
		d.LowMS = append(d.LowMS, max(0, v-1.5))
		d.HighMS = append(d.HighMS, max(0, (v-1.5)*1.21+0.7*math.Sin(float64(i)*1.9)))
	}
	return d
}

func sampleTimeline() Timeline {
	const day = 86400
	from := int64(1672531200) // 2023-01-01
	d := Timeline{From: from, To: from + 400*day}
	still := Lane{Name: "sensor stands still"}
	for i := range int64(9) {
		still.Spans = append(still.Spans, Span{from + (20+i*i*4)*day, from + (20+i*i*4+i)*day, "no change for hours", false})
	}
	d.Lanes = []Lane{still, {"gap", []Span{{from + 100*day, from + 141*day, "41 days", false}}}, {"mast's shadow", nil}}
	return d
}

// TestPreview writes every sample into the folder that MASTWORTH_CHART_PREVIEW names, to be looked at.
func TestPreview(t *testing.T) {
	dir := os.Getenv("MASTWORTH_CHART_PREVIEW")
	if dir == "" {
		t.Skip("MASTWORTH_CHART_PREVIEW names no folder")
	}
	for _, c := range sampleCharts(t) {
		for name, o := range map[string]Options{"wide": {}, "narrow": {Width: NarrowWidth}, "dark": {Dark: true}} {
			png, err := os.Create(filepath.Join(dir, fmt.Sprintf("%s-%s.png", name, c.Name)))
			if err != nil {
				t.Fatal(err)
			}
			svg, err := os.Create(filepath.Join(dir, fmt.Sprintf("%s-%s.svg", name, c.Name)))
			if err != nil {
				t.Fatal(err)
			}
			if err := c.PNG(png, o); err != nil {
				t.Error(err)
			}
			if err := c.SVG(svg, o); err != nil {
				t.Error(err)
			}
			png.Close()
			svg.Close()
		}
		t.Log(c.Alt())
	}
}
