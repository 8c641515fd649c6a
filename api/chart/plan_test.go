package chart

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

// The plan is to scale: a circle's radius in px over the scale bar's length is its radius in m over the bar's figure.
func TestPlanIsToScale(t *testing.T) {
	for _, o := range []Options{{}, {Width: NarrowWidth}} {
		e := parse(t, svgOf(t, SitePlan(Plan{Circles: []PlanCircle{{RadiusM: 80, Words: "80 m"}}}), o))
		bar := e.marks("scale-bar")[0]
		ends := numbers(t, bar.Children[1].attr("d"))
		metres, err := strconv.ParseFloat(strings.TrimSuffix(bar.texts()[0], " m"), 64)
		if err != nil {
			t.Fatal(err)
		}
		d := e.marks("circle")[0].Children[1].attr("d")
		radius := numbers(t, d[strings.IndexByte(d, 'A'):])[0]
		if got := radius / ((ends[2] - ends[0]) / metres); math.Abs(got-80) > 0.5 {
			t.Errorf("the circle of 80 m is drawn as %g m", got)
		}
	}
}

// East is right and north is up, whatever the obstacle.
func TestPlanBearings(t *testing.T) {
	for bearing, want := range map[float64][2]float64{0: {0, -1}, 90: {1, 0}, 180: {0, 1}, 270: {-1, 0}} {
		e := parse(t, svgOf(t, SitePlan(Plan{Obstacles: []PlanObstacle{{"barn", bearing, 30, 6, 10, false}}}), Options{}))
		mast := numbers(t, e.marks("mast")[0].Children[1].attr("d"))
		face := numbers(t, e.marks("mark")[0].Children[1].attr("d"))
		x, y := (face[0]+face[2])/2-mast[0], (face[1]+face[3])/2-(mast[1]+dotRadius+1.5)
		if r := math.Hypot(x, y); math.Abs(x/r-want[0]) > 0.02 || math.Abs(y/r-want[1]) > 0.02 {
			t.Errorf("an obstacle at %g° lies towards %.2f, %.2f", bearing, x/r, y/r)
		}
	}
}

// What stands furthest out is in the picture with its name, which lies on nothing: neither on itself nor on what stands behind it.
func TestPlanNamesLieOnNothing(t *testing.T) {
	for bearing := 0.0; bearing < 360; bearing += 20 {
		for _, wide := range []float64{3, 12, 60} {
			d := Plan{Obstacles: []PlanObstacle{{"the neighbour’s very long and very tall hedge of yew", bearing, 18.3, 6, wide, false}, {"barn", bearing, 40, 6, 10, true}}}
			e := parse(t, svgOf(t, SitePlan(d), Options{Width: 340, Height: 380, Bare: true}))
			for _, m := range e.marks("mark") {
				bar := numbers(t, m.Children[1].attr("d"))
				for i, v := range bar {
					if most := [2]float64{340, 380}[i%2]; v < 0 || v > most {
						t.Fatalf("at %g° a thing of %g m is cut off: %v", bearing, wide, bar)
					}
				}
				if len(m.Children) < 3 {
					t.Errorf("at %g° a thing of %g m has no name", bearing, wide)
				}
			}
		}
	}
	bar := [4]vg.Point{{X: 0, Y: 0}, {X: 10, Y: 10}, {X: 8, Y: 12}, {X: -2, Y: 2}}
	for at, want := range map[vg.Point]bool{{X: 4, Y: 4}: true, {X: 6, Y: 0}: false, {X: -3, Y: 8}: false, {X: 0, Y: 5}: true} {
		if got := meet(vg.Rectangle{Min: at, Max: vg.Point{X: at.X + 2, Y: at.Y + 2}}, bar); got != want {
			t.Errorf("a box at %v meets the turned one: %t", at, got)
		}
	}
}
