package form

import (
	"fmt"
	"html/template"
	"strings"

	"mastworth/api/chart"
	"mastworth/api/page"
)

// Plan draws the obstacles typed so far around the mast, as far as they are numbers; empty where there is none yet.
func (v *View) Plan() (template.HTML, error) {
	d := chart.Plan{Units: chart.Units{FeetAndMph: v.Units == Feet}}
	g := groupByPlace["site.obstacles"]
	for i := range v.shown(g) {
		row := map[string]float64{}
		for _, c := range g.columns {
			if x, ok := number(v.typed[cell(g.place, i, c.place)]); ok {
				row[c.place] = v.Units.inDocument(x, c.kind)
			}
		}
		o := chart.PlanObstacle{Name: v.obstacleName(i), BearingDeg: row["bearing_deg"], DistanceM: row["distance_m"], HeightM: row["height_m"], WidthM: row["width_m"]}
		_, aimed := row["bearing_deg"]
		if aimed && o.DistanceM > 0 && o.DistanceM <= 5000 && o.WidthM > 0 && o.WidthM <= 5000 && o.BearingDeg >= 0 && o.BearingDeg <= 360 {
			d.Obstacles = append(d.Obstacles, o)
		}
	}
	if r := v.fallZone(); r > 0 {
		d.Circles = append(d.Circles, chart.PlanCircle{RadiusM: r, Words: page.Text("result.fall_zone")})
	}
	if len(d.Obstacles) == 0 {
		return "", nil
	}
	var b strings.Builder
	if err := chart.SitePlan(d).SVG(&b, chart.Options{Variables: true, Bare: true, Width: 460, Height: 400}); err != nil {
		return "", fmt.Errorf("the form's plan: %w", err)
	}
	return template.HTML(b.String()), nil //nolint:gosec // of our own making; it escapes what is in it
}

// obstacleName is what an obstacle is called, or which row it is.
func (v *View) obstacleName(row int) string {
	if name := strings.TrimSpace(v.typed[cell("site.obstacles", row, "name")]); name != "" {
		return name
	}
	return page.Text("form.site.obstacles.row", row+1)
}

// Undrawn is an obstacle of which too little is said for the plan, and the first field that it lacks.
type Undrawn struct{ Words, Label, ID string }

// Undrawn are those of which something is typed, but not all that the plan needs.
func (v *View) Undrawn() []Undrawn {
	var out []Undrawn
	g := groupByPlace["site.obstacles"]
	for i := range v.shown(g) {
		lacking, typed := "", false
		for _, c := range g.columns {
			name := cell(g.place, i, c.place)
			x, ok := number(v.typed[name])
			m := v.Units.inDocument(x, c.kind)
			typed = typed || strings.TrimSpace(v.typed[name]) != ""
			switch c.place {
			case "bearing_deg":
				ok = ok && m >= 0 && m <= 360
			case "distance_m", "width_m":
				ok = ok && m > 0 && m <= 5000
			default:
				continue
			}
			if !ok && lacking == "" {
				lacking = name
			}
		}
		if typed && lacking != "" {
			out = append(out, Undrawn{page.Text("form.undrawn", v.obstacleName(i)), page.Text("form." + key(lacking)), ID(lacking)})
		}
	}
	return out
}

// fallZone is 1.5 times the height of the highest tower's blade tip, m, as far as towers are typed; the result has the same circle.
func (v *View) fallZone() float64 {
	const share = 1.5
	highest := 0.0
	take := func(name string) {
		if h, ok := number(v.typed[name]); ok {
			highest = max(highest, v.Units.inDocument(h, aLength))
		}
	}
	if v.Chosen("towers") == "rule" {
		take("towers.to_m")
	} else {
		for i := range v.shown(groupByPlace["towers"]) {
			take(cell("towers", i, "hub_height_m"))
		}
	}
	if highest == 0 {
		return 0
	}
	for _, name := range []string{"turbine.rotor_diameter_m", "turbine.design.rotor.diameter_m"} {
		if d, ok := number(v.typed[name]); ok && v.holds(fieldOf(name).when) && d > 0 {
			return share * (highest + v.Units.inDocument(d, aLength)/2)
		}
	}
	return 0
}
