package page

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"mastworth/openapi"
	"mastworth/resource"
)

// An estimate of an earlier version, without decision, odds, machine or sectors, still has a page and a report; so has an empty one.
func TestOldEstimates(t *testing.T) {
	for what, text := range map[string]string{
		"empty":   `{}`,
		"refused": `{"verdict":{"answer":"cannot_say","reasons":[{"code":"no_energy","detail":"the curve makes nothing"}]},"heights":[{"hub_height_m":12}]}`,
		"first":   `{"best_hub_height_m":12,"heights":[{"hub_height_m":12,"energy":{"net_kwh":400},"cost":{"per_kwh":0.7,"capital":3000}}],"verdict":{"answer":"not_worth_it","reasons":[]}}`,
	} {
		var e openapi.Estimate
		if err := json.Unmarshal([]byte(text), &e); err != nil {
			t.Fatal(err)
		}
		r, err := NewResult(ResultSite{ID: "abc"}, &e, Units{})
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		for _, name := range []string{"result", "report"} {
			r.Report = name == "report"
			var b strings.Builder
			if err := New().Render(&b, name, &Frame{Title: r.Name, Page: r}); err != nil {
				t.Fatalf("%s: %v", what, err)
			}
			for _, not := range []string{"NaN", "<nil>", "%!", "<no value>"} {
				if strings.Contains(b.String(), not) {
					t.Errorf("%s: the %s has %s in it", what, name, not)
				}
			}
		}
		for _, name := range ResultChartNames() {
			ResultChart(&e, Units{}, name) // must not panic
		}
	}
}

// Every warning's code has a section that there is, and stands beside what it concerns.
func TestWarningsStandBesideWhatTheyConcern(t *testing.T) {
	r, err := NewResult(ResultSite{}, new(openapi.Estimate), Units{})
	if err != nil {
		t.Fatal(err)
	}
	r.Sections = nil
	for _, d := range drawn {
		r.Sections = append(r.Sections, ResultSection{ID: d.section})
	}
	for _, id := range []string{"split", "extreme"} {
		r.Sections = append(r.Sections, ResultSection{ID: id})
	}
	for id := range warningSections {
		if r.section(id) == nil {
			t.Errorf("warnings go to a section %q that there is not", id)
		}
	}
	for code, want := range map[string]string{"obstacles_unknown": "surroundings", "solar_from_latitude": "months", "curve_ends_early": "machine", "record_gaps": "wind",
		"household_thinned": "split", "never_pays_back": "cash", "draws_clipped": "doubts", "rotor_in_eddy": "surroundings", "siting_rules_broken": "surroundings",
		"measured_here_unknown": "surroundings", "measure_months": "wind", "power_coefficient_high": "machine", "feed_in_assumed": "cash", "no_such_code": "wind"} {
		if got := sectionOf(code); got != want {
			t.Errorf("%s stands beside %s, want %s", code, got, want)
		}
	}
}

// A warning that several heights share names them once, and one whose section is missing is not lost.
func TestWarningsOfHeights(t *testing.T) {
	e := openapi.Estimate{Warnings: openapi.Warnings{{Code: "record_gaps", Detail: "there are gaps"}, {Code: "record_gaps", Detail: "there are gaps"}}}
	for _, h := range []float64{12, 18, 24} {
		e.Heights = append(e.Heights, openapi.HeightEstimate{HubHeightM: h, Warnings: openapi.Warnings{{Code: "siting_rules_broken", Detail: "breaks rules"}}})
	}
	e.Heights[1].Warnings[0].Detail = "breaks one"
	r := Result{Sections: []ResultSection{{ID: "surroundings"}}}
	r.warn(shownEstimate{&e, Units{}})
	want := []string{"At 12\u00a0m, 24\u00a0m: breaks rules.", "At 18\u00a0m: breaks one."}
	if got := r.Sections[0].Warnings; len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("%q", got)
	}
	if len(r.Warnings) != 1 || r.Warnings[0] != "There are gaps." {
		t.Errorf("%q", r.Warnings)
	}
}

func TestSentence(t *testing.T) {
	for in, want := range map[string]string{"": "", "the wind": "The wind.", "Done.": "Done.", "site.ground is open": "site.ground is open.", "über alles!": "Über alles!",
		"a mean of 4.9 m/s":                           "A mean of 4.9 m/s.",
		"behind site.obstacles[0] and the barn's end": "Behind obstacle 1 and the barn’s end.", "site.obstacles[11] grows": "Obstacle 12 grows.",
		"it is -6.3 % (-2 in 2024-01-01)": "It is −6.3 % (−2 in 2024-01-01)."} {
		if got := sentence(in); got != want {
			t.Errorf("%q became %q, want %q", in, got, want)
		}
	}
}

// The fitted speeds go as far as one hour in a thousand: of a Rayleigh distribution with a mean of 5 m/s that is 14.8 m/s (closed form
// v = A·(ln 1000)^(1/k), A = 2·5/√π).
func TestTopSpeed(t *testing.T) {
	if got := topSpeed(resource.Weibull{Shape: 2, Scale: 10 / math.Sqrt(math.Pi)}); got != 15 {
		t.Errorf("%g m/s", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		w := resource.Weibull{Shape: rapid.Float64Range(1, 4).Draw(t, "shape"), Scale: rapid.Float64Range(1, 9).Draw(t, "scale")}
		if top := topSpeed(w); top < 40 && 1-w.CDF(top) > 0.001+1e-12 {
			t.Fatalf("beyond %g m/s blows %g", top, 1-w.CDF(top))
		}
	})
}

// However a rose's directions are turned, what it shows turns with them and changes nowhere else.
func TestRosesTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := invented()
		best := &e.Heights[0]
		for i := range best.Wind.Sectors {
			share, mean := rapid.Float64Range(0, 0.2).Draw(t, "share"), rapid.Float64Range(1, 9).Draw(t, "mean")
			best.Wind.Sectors[i].Share, best.Wind.Sectors[i].MeanSpeedMS = &share, &mean
		}
		for _, name := range []string{"wind-rose", "energy-rose"} {
			before, _ := ResultChart(e, Units{}, name)
			_, rows := before.Table()
			s := best.Wind.Sectors
			best.Wind.Sectors = append(append([]openapi.WindSector(nil), s[3:]...), s[:3]...) // by 90 degrees
			after, _ := ResultChart(e, Units{}, name)
			_, turned := after.Table()
			best.Wind.Sectors = s
			for i := range rows {
				if a, b := strings.Join(rows[(i+3)%len(rows)][1:], " "), strings.Join(turned[i][1:], " "); a != b {
					t.Fatalf("%s, %d: %s is %s after turning", name, i, a, b)
				}
			}
		}
	})
}

func of(v float64) *float64 { return &v }

// invented is an estimate with one height and a curve, of made-up numbers.
func invented() *openapi.Estimate {
	e := &openapi.Estimate{BestHubHeightM: of(18), Heights: []openapi.HeightEstimate{{HubHeightM: 18}}}
	e.Request.Turbine.PowerCurve = &openapi.PowerCurve{Points: [][]float64{{3, 0}, {6, 200}, {12, 900}, {20, 500}}}
	w := &e.Heights[0].Wind
	w.MeanSpeedMS, w.CalmShare, w.AirDensityKgM3 = of(5), of(0.04), of(1.2)
	w.Weibull = openapi.WeibullFit{Shape: of(2), ScaleMS: of(5.64)}
	w.Sectors = make([]openapi.WindSector, 12)
	return e
}

// A table of powers is brought to the air of the hub, in proportion for a machine that nothing or a furling tail holds (IEC 61400-12-1); one
// that was worked out for the site already is left alone.
func TestCurveOf(t *testing.T) {
	e := invented()
	if p := curveOf(shownEstimate{e, Units{}}, &e.Heights[0]).Power(12); math.Abs(p-900*1.2/1.225) > 1e-9 {
		t.Errorf("%g W", p)
	}
	e.Machine = &openapi.Machine{Curve: [][]float64{{3, 0}, {12, 800}}}
	if p := curveOf(shownEstimate{e, Units{}}, &e.Heights[0]).Power(12); p != 800 {
		t.Errorf("%g W", p)
	}
}

// A curve in the picture of a slower wind goes on to its edge: invented, 900 W at 12 m/s falling to 500 W at 20 m/s is 700 W at 16 m/s.
func TestCurveUpTo(t *testing.T) {
	e := invented()
	e.Machine = &openapi.Machine{Curve: e.Request.Turbine.PowerCurve.Points}
	curve := curveOf(shownEstimate{e, Units{}}, &e.Heights[0])
	for top, want := range map[float64][]float64{16: {3, 6, 12, 16}, 20: {3, 6, 12, 20}, 30: {3, 6, 12, 20}, 2: {2}} {
		speeds, powers := curveUpTo(curve, top)
		if !slices.Equal(speeds, want) {
			t.Errorf("up to %g m/s it has points at %v, want %v", top, speeds, want)
		}
		if top == 16 && math.Abs(powers[len(powers)-1]-700) > 1e-9 {
			t.Errorf("%g W at 16 m/s", powers[len(powers)-1])
		}
	}
}

// The histogram's bars do not add up to all the time where there are calms, which is said.
func TestCalmsAreTold(t *testing.T) {
	e := invented()
	e.WindHistogram = &openapi.WindHistogram{HubHeightM: 18, CalmShare: 0.0386}
	if w := speedSection(shownEstimate{e, Units{}}).Words; len(w) != 2 || !strings.Contains(w[1], "3.9\u00a0%") {
		t.Errorf("%q", w)
	}
	e.WindHistogram.CalmShare = 0
	if w := speedSection(shownEstimate{e, Units{}}).Words; len(w) != 1 {
		t.Errorf("%q", w)
	}
}

// A rose has round classes in the unit it is shown in, which the speeds' own classes in m/s are not in mph.
func TestRoseClassesAreRound(t *testing.T) {
	e := invented()
	for i := range e.Heights[0].Wind.Sectors {
		e.Heights[0].Wind.Sectors[i].Share, e.Heights[0].Wind.Sectors[i].MeanSpeedMS = of(1.0/12), of(5)
	}
	for u, want := range map[Units]string{{}: "8–10 m/s", {Feet: true}: "20–25 mph"} {
		c, _ := ResultChart(e, u, "wind-rose")
		if head, _ := c.Table(); !strings.Contains(strings.Join(head, "; "), want) {
			t.Errorf("%q has no class of %s", head, want)
		}
	}
}

// The sliders begin with the request's own numbers, and know what each tower costs.
func TestAdjust(t *testing.T) {
	e := invented()
	e.Request.Money = openapi.MoneyInput{TurbineCost: 1900, OtherCost: of(400), PricePerKWh: of(0.28)}
	e.Heights[0].Cost.Capital = of(3700)
	if a := adjustOf("abc", shownEstimate{e, Units{}}); a.Towers != "[[18,1400]]" || a.Moves[0].Name != "price" || a.Moves[0].Value != "0.28" || a.Moves[1].Max != "5700" {
		t.Errorf("%+v", a)
	}
	e.Heights = append(e.Heights, openapi.HeightEstimate{HubHeightM: 24, Cost: openapi.TurbineCost{Capital: of(4600)}})
	a := adjustOf("abc", shownEstimate{e, Units{}})
	if a.Towers != "[[18,1400],[24,2300]]" || a.Moves[0] != (Move{"height", Text("result.move_height"), "m", "18", "24", "0.5", "18"}) {
		t.Errorf("%+v", a)
	}
	var words map[string]string
	if err := json.Unmarshal([]byte(a.Words), &words); err != nil || !strings.Contains(words["chance"], "%s") {
		t.Errorf("%v %v", err, words)
	}
}

// Every word these pages ask for is in the catalogue, and none there is idle.
func TestWordsOfResults(t *testing.T) {
	var source strings.Builder
	for _, pattern := range []string{"result*.go", "sites.go", filepath.Join("templates", "*.html"), filepath.Join("..", "pagesites.go")} {
		names, err := filepath.Glob(pattern)
		if err != nil || len(names) == 0 {
			t.Fatal(pattern, err)
		}
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if !strings.HasSuffix(name, "_test.go") {
				source.Write(text)
			}
		}
	}
	used := map[string]bool{}
	for _, m := range regexp.MustCompile(`"((?:result|report|sites)\.[a-z0-9_.]+)"`).FindAllStringSubmatch(source.String(), -1) {
		used[m[1]] = true
		if _, there := catalogue()[m[1]]; !there && !strings.HasSuffix(m[1], ".") && m[1] != "result.js" && m[1] != "result.css" {
			t.Errorf("the catalogue lacks %s", m[1])
		}
	}
	for key := range catalogue() {
		begin := key[:strings.LastIndexByte(key, '.')+1]
		if regexp.MustCompile(`^(result|report|sites)\.`).MatchString(key) && !used[key] && (begin == "result." || !used[begin]) {
			t.Errorf("nobody asks for %s", key)
		}
	}
}

// Where nothing within reason brings wind's kWh below one of the two it must beat, what is said of the other does not turn the verdict, and
// that is told.
func TestChangesThatAreNotEnough(t *testing.T) {
	value := 5.0
	of := func(rival openapi.BreakEvenRival, cheaper, reached bool) openapi.BreakEven {
		b := openapi.BreakEven{Rival: rival, WindCheaperNow: cheaper}
		if reached {
			b.Value = &value
		}
		return b
	}
	solar, price := openapi.BreakEvenRivalSolar, openapi.BreakEvenRivalPrice
	for _, c := range []struct {
		all  []openapi.BreakEven
		want string
	}{
		{[]openapi.BreakEven{of(price, false, true), of(solar, false, false)}, "below the array’s"},
		{[]openapi.BreakEven{of(price, false, false), of(solar, false, true)}, "below what one is worth"},
		{[]openapi.BreakEven{of(price, false, true), of(solar, false, true)}, ""},
		{[]openapi.BreakEven{of(price, false, true), of(solar, true, false)}, ""}, // the array is dearer as it is
		{[]openapi.BreakEven{of(price, false, false), of(solar, false, false)}, ""},
		{nil, ""},
	} {
		if got := changesNote(c.all); c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%+v: %q", c.all, got)
		}
	}
}
