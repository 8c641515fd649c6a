package page

import (
	"strings"
	"testing"

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
	e.Warnings = openapi.Warnings{warning, {Code: "tip_fast", Detail: "the gear is slow"}}
	r, err := NewResult(ResultSite{ID: "abc"}, e, Units{})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, s := range r.Sections {
		n += len(s.Warnings)
	}
	if n != 1 || len(r.section("machine").Warnings) != 1 {
		t.Errorf("%d times: %+v", n, r.Sections)
	}
}
