package page

import (
	"slices"
	"strings"
	"testing"
	"time"

	"mastworth/api/chart"
	"mastworth/openapi"
)

// An obstacle without a name is called as the form calls it, wherever it is told of, and is drawn as what breaks a rule.
func TestObstaclesWithoutNames(t *testing.T) {
	e := invented()
	e.Request.Site.Obstacles = &[]openapi.Obstacle{{BearingDeg: 200, DistanceM: 18, HeightM: 10, WidthM: 8}}
	e.Heights[0].Siting = []openapi.SitingRule{{Rule: "thirty_feet_500_ft", Words: "30 ft above all", By: []string{"site.obstacles[0]"}, Broken: true}}
	shown := shownEstimate{e, Units{}}
	table := surroundingsSection(shown, &e.Heights[0]).Tables[0]
	if got := table.Rows[0][2]; got != "obstacle 1" {
		t.Errorf("broken by %q", got)
	}
	c := sitePlan(shown, &e.Heights[0])
	_, rows := c.Table()
	if rows[0][0] != "Obstacle 1" || rows[0][5] != "yes" || !strings.Contains(c.Alt(), "one thing stands around the mast: Obstacle 1, 18 m away") {
		t.Errorf("%q %s", rows, c.Alt())
	}
}

// What a design is warned of stands at the machine alone, though the estimate has it among its own warnings too.
func TestWarningsOfTheDesignOnce(t *testing.T) {
	e := invented()
	warning := openapi.Warning{Code: "gear_slow", Detail: "the gear is slow"}
	e.Machine = &openapi.Machine{Design: &openapi.DesignResult{Warnings: openapi.Warnings{warning}}}
	e.Warnings = openapi.Warnings{warning, {Code: "gear_slow", Detail: "the gear is slow. At this site it hardly matters"}}
	r, err := NewResult(ResultSite{ID: "abc"}, e, Units{})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, s := range r.Sections {
		n += len(s.Warnings)
	}
	if n != 1 || !slices.Equal(r.section("machine").Warnings, []string{"The gear is slow. At this site it hardly matters."}) {
		t.Errorf("%d times: %+v", n, r.Sections)
	}
}

// A distribution that was given is drawn as what it is: without bars beside it, and not called a fit.
func TestGivenWindIsNoFit(t *testing.T) {
	e := invented()
	shown := shownEstimate{e, Units{}}
	var svg strings.Builder
	c := speeds(shown, &e.Heights[0])
	if err := c.SVG(&svg, chart.Options{}); err != nil {
		t.Fatal(err)
	}
	if head, _ := c.Table(); len(head) != 3 || strings.Contains(svg.String(), "Weibull fit") || !strings.Contains(svg.String(), "Weibull distribution, k = 2") ||
		strings.Contains(svg.String(), "Time in each bin") {
		t.Errorf("%q %s", head, c.Alt())
	}
	e.Request.Wind.Record = &openapi.RecordInput{}
	if alt := speeds(shown, &e.Heights[0]).Alt(); !strings.Contains(alt, "Weibull fit, k = 2") {
		t.Errorf("of a record: %s", alt)
	}
}

// A period is named by its months, where it is as long as one.
func TestShortNamesOfPeriods(t *testing.T) {
	for want, span := range map[string][2]string{"2024-05": {"2024-05-01", "2024-06-01"}, "2024-05 – 08": {"2024-05-01", "2024-09-01"}, "2023-11 – 2024-02": {"2023-11-14", "2024-02-20"},
		"2024-05-08": {"2024-05-01", "2024-05-08"}} {
		from, _ := time.Parse(time.DateOnly, span[0])
		to, _ := time.Parse(time.DateOnly, span[1])
		if got := shortName(&openapi.HarvestPeriod{From: from, To: to}); got != want {
			t.Errorf("from %s to %s is called %q, want %q", span[0], span[1], got, want)
		}
	}
}

// Where a battery keeps something for itself, what was used, left over and lost is all that was made; with both says which machine and array.
func TestHomeTableAddsUp(t *testing.T) {
	flows := openapi.HomeFlows{WindKWh: 600, SolarKWh: 400, SelfUsedShare: of(0.6), SpilledShare: of(0.376), BatteryLossKWh: 24, UnmetShare: of(0.4)}
	hub := 18.0
	split := openapi.MoneySplit{Home: &openapi.HomeResult{YearlyKWh: 1000, Wind: flows, Solar: flows, Mixed: &flows, MixedRow: 1},
		Rows: []openapi.SplitRow{{}, {HubHeightM: &hub, Machines: 1, WindKWh: 600, SolarKW: 0.4, SolarKWh: 400}}}
	table := homeTable(&split, Units{})
	got := strings.Join(table.Rows[2], "|")
	if want := "Both: the machine at 18 m (600 kWh a year) and 0.400 kW of solar (400 kWh)|1000|60 %|38 %|2.4 %|40 %"; strings.ReplaceAll(got, "\u00a0", " ") != want || table.Head[4] != "Lost in the battery" {
		t.Errorf("%q %q", table.Head, got)
	}
	flows.BatteryLossKWh = 0
	split.Home.Wind, split.Home.Solar = flows, flows
	if head := homeTable(&split, Units{}).Head; len(head) != 5 {
		t.Errorf("without a battery: %q", head)
	}
}

// Where there is no rate of return nothing is said of one.
func TestCashWithoutRate(t *testing.T) {
	e := invented()
	e.Decision.Cash = &openapi.CashFlow{HubHeightM: 18, NPV: -3100.4}
	words := cashSection(shownEstimate{e, Units{}}, "EUR").Words[0]
	if strings.Contains(words, "rate of return") || !strings.Contains(words, "net present value −3100\u00a0EUR; paid back: not within the life") {
		t.Error(words)
	}
	e.Decision.Cash.IRR = of(-0.0632)
	if words = cashSection(shownEstimate{e, Units{}}, "EUR").Words[0]; !strings.Contains(words, "EUR; internal rate of return −6.3\u00a0% a year; paid back") {
		t.Error(words)
	}
}

// The public page tells the cost of solar at the best height alone.
func TestPublicSolarIsOfTheBestHeight(t *testing.T) {
	p := openapi.PublicSite{Heights: []openapi.PublicHeight{{HubHeightM: 12}, {HubHeightM: 18}}}
	if publicSolar(&p) != nil {
		t.Error("a cost that nobody told")
	}
	p.Site.HubHeightM, p.Site.SolarPerKWh = of(18), of(0.127)
	if got := publicSolar(&p); len(got) != 2 || got[0] == got[0] || got[1] != 0.127 {
		t.Error(got)
	}
}
