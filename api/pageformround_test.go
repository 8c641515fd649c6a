package api

import (
	"net/http"
	"strconv"
	"strings"
	"testing"
)

// summary are the faults told above a page, in its order.
func summary(t *testing.T, body string) []string {
	t.Helper()
	list, ok := between(body, `id="faults"`, "</ul>")
	if !ok {
		return nil
	}
	var out []string
	for _, item := range strings.Split(list, "<li>")[1:] {
		_, item, _ = strings.Cut(item, `">`)
		item, _, _ = strings.Cut(item, "</li>")
		out = append(out, strings.NewReplacer("</a>", "", "&#34;", `"`, "&#39;", "'").Replace(item))
	}
	return out
}

// What is no number, what is missing and what cannot be is told in one round, and nothing that only follows from it.
func TestGuideTellsAllAtOnce(t *testing.T) {
	f := newFixture(t)
	v := typing(gardenForm(), "site.latitude", "152", "site.longitude", "west", "wind.mean.speed_m_s", "-4", "wind.mean.height_m", "", "turbine.rotor_diameter_m", "240",
		"towers[1].cost", "", "towers[0].hub_height_m", "tall", "money.life_years", "0", "money.turbine_cost", "-1", "money.discount_rate", "150", "losses.wiring", "lots",
		"losses.other", "120", "shear.exponent", "9", "solar.cost_per_kw", "-5", "solar.tilt_deg", "100", "site.obstacles[1].bearing_deg", "400",
		"site.obstacles[1].width_m", "", "site.obstacles[1].height_m", "900", "money.price_per_kwh", "-1", "money.currency", "euro", "turbine.power_curve.points", "3 8\n5 x")
	w := f.browse("POST", "/new", v, nil)
	got := summary(t, w.Body.String())
	want := []string{"Latitude, degrees north: must be from −90 to 90 degrees, not 152", "Longitude, degrees east: “west” is no number",
		"Obstacle 2, Bearing, °: must be from 0 to 360", "Obstacle 2, Height: must be above 0 and at most 150 m, not 900", "Obstacle 2, Width: is missing",
		"Mean speed: must be above 0 and at most 30 m/s, not −4", "At a height of: is missing", "Exponent of the power law: must be from −0.1 to 0.8, not 9",
		"Rotor diameter: must be from 0.2 to 60 m, not 240", "Wind speed and power in W, a line each: line 2: “x” is no number", "Tower 1, Hub height: “tall” is no number", "Tower 2, Cost: is missing",
		"Wiring: “lots” is no number", "Gusts, dirt, ice: must be from 0 % to 95 %, not 120 %", "Currency: must be three letters", "The machine costs: must be from 0 to 1\u202f000\u202f000\u202f000, not −1",
		"Life, years: must be from 1 to 60 years, not 0", "Discount rate a year, above inflation: must be from −5 % to 50 %, not 150 %",
		"A bought kWh costs: must be from 0 to 1000, not −1", "A kW of solar costs: must be above 0", "Tilt, ° from level: must be from 0 to 90 degrees, not 100"}
	told := strings.Join(got, "\n")
	for _, s := range want {
		if strings.Count(told, s) != 1 {
			t.Errorf("%q is there %d times", s, strings.Count(told, s))
		}
	}
	if len(got) != len(want) || w.Code != http.StatusUnprocessableEntity {
		t.Errorf("%d faults, want %d:\n%s", len(got), len(want), told)
	}
}

// That there are more faults than are told is told.
func TestGuideSaysWhenThereIsMore(t *testing.T) {
	f := newFixture(t)
	v := gardenForm()
	for i := range 36 {
		at := "site.obstacles[" + strconv.Itoa(i) + "]."
		v = typing(v, at+"name", "oak", at+"bearing_deg", "x", at+"distance_m", "y", at+"height_m", "", at+"width_m", "")
	}
	got := summary(t, f.browse("POST", "/new", v, nil).Body.String())
	if len(got) != 61 || !strings.Contains(got[60], "first 60 faults") {
		t.Errorf("%d faults, the last of them %q", len(got), got[len(got)-1])
	}
}

// What is marked as needed is: left empty, it is missed. All else may be left empty.
func TestGuideMarksWhatIsNeeded(t *testing.T) {
	f := newFixture(t)
	page := f.browse("GET", "/new", nil, nil).Body.String()
	for _, name := range []string{"site.latitude", "site.longitude", "wind.mean.speed_m_s", "wind.mean.height_m", "turbine.rotor_diameter_m",
		"turbine.power_curve.points", "towers[0].hub_height_m", "towers[0].cost", "money.turbine_cost"} {
		control, _ := between(page, `name="`+name+`"`, ">")
		if !strings.Contains(control, `aria-required="true"`) {
			t.Errorf("%s is not marked: %s", name, control)
		}
		got := summary(t, f.browse("POST", "/new", typing(gardenForm(), name, ""), nil).Body.String())
		if len(got) != 1 {
			t.Errorf("without %s: %q", name, got)
		}
	}
	design := typing(gardenForm(), "by.machine", "design", "by.load", "battery", "turbine.design.rotor.diameter_m", "2.2", "turbine.design.rotor.blades", "6",
		"turbine.design.rotor.board.root_chord_m", "0.14", "turbine.design.generator.volts_per_rpm", "0.11", "turbine.design.generator.resistance_ohm", "0.9",
		"turbine.design.load.battery.volts_v", "25", "money.currency", "gbp")
	got := summary(t, f.browse("POST", "/new", design, nil).Body.String())
	if len(got) != 1 || !strings.HasPrefix(got[0], "A kW of solar costs: is needed with the currency GBP") {
		t.Errorf("%q", got)
	}
	if w := f.browse("POST", "/new", typing(design, "solar.cost_per_kw", "1300"), nil); w.Code != http.StatusSeeOther {
		t.Errorf("%d %q", w.Code, summary(t, w.Body.String()))
	}
	for name := range design {
		if !strings.HasPrefix(name, "turbine.design.") {
			continue
		}
		if got := summary(t, f.browse("POST", "/new", typing(design, name, "", "solar.cost_per_kw", "1300"), nil).Body.String()); len(got) != 1 {
			t.Errorf("without %s: %q", name, got)
		}
	}
}

// A decimal comma is read as one, a currency in small letters in capitals.
func TestGuideReadsAComma(t *testing.T) {
	f := newFixture(t)
	r := f.saved(f.browse("POST", "/new", typing(gardenForm(), "site.longitude", "-1,44", "money.price_per_kwh", "0,285", "money.currency", "eur"), nil)).Request
	if r.Site.Longitude != -1.44 || *r.Money.PricePerKWh != 0.285 || *r.Money.Currency != "EUR" {
		t.Errorf("%+v %+v", r.Site, r.Money)
	}
}

// A hub behind a house is refused in the units it was typed in, by the page's names, with what keeps a fetched or sent file away told by itself.
func TestGuideRefusesInFeet(t *testing.T) {
	f := newFixture(t)
	v := typing(gardenForm(), "units.shown", "feet", "units", "feet", "towers[0].hub_height_m", "40", "towers[1].hub_height_m", "42", "wind.mean.speed_m_s", "11",
		"wind.mean.height_m", "33", "money.currency", "USD", "turbine.rotor_diameter_m", "8", "turbine.power_curve.points", "7 8\n11 105\n18 440\n27 900\n45 420",
		"site.obstacles[1].name", "", "site.obstacles[1].distance_m", "110", "site.obstacles[1].height_m", "35", "site.obstacles[1].width_m", "80", "site.obstacles[1].porosity", "0")
	got := strings.Join(summary(t, f.browse("POST", "/new", v, nil).Body.String()), "\n")
	if !strings.HasPrefix(got, "Tower 1, Hub height: a hub at 40 ft is in the eddy behind “Obstacle 2”") || strings.Contains(got, " m ") || strings.Contains(got, "document") {
		t.Error(got)
	}
	got = strings.Join(summary(t, f.browse("POST", "/new", typing(gardenForm(), "by.wind", "file", "site.latitude", "x"), nil).Body.String()), "\n")
	if !strings.Contains(got, "choose a file first") || !strings.Contains(got, "is no number") || strings.Contains(got, "give the wind") {
		t.Error(got)
	}
}

// Nothing is fetched, which takes minutes, while something else is wrong.
func TestGuideFetchesLast(t *testing.T) {
	f := newFixture(t)
	w := f.browse("POST", "/new", typing(gardenForm(), "by.wind", "fetch", "site.latitude", "152"), nil)
	if got := summary(t, w.Body.String()); w.Code != http.StatusUnprocessableEntity || len(got) != 1 || !strings.HasPrefix(got[0], "Latitude") {
		t.Errorf("%d %q", w.Code, got)
	}
}

// What was typed in feet comes back from a draft in feet, as it was.
func TestGuideDraftInFeet(t *testing.T) {
	f := newFixture(t)
	v := typing(gardenForm(), "units.shown", "feet", "units", "feet", "towers[0].hub_height_m", "40", "towers[1].hub_height_m", "60.5", "wind.mean.speed_m_s", "11.3",
		"turbine.power_curve.points", "7 8\n11 105", "do", "draft")
	draft := f.browse("POST", "/new", v, nil).Body.Bytes()
	page := f.sendFile("/new", typing(nil, "do", "open"), "draft", "mastworth.yaml", draft).Body.String()
	for _, want := range []string{`<option value="feet" selected`, `name="towers[0].hub_height_m" value="40"`, `name="towers[1].hub_height_m" value="60.5"`,
		`name="wind.mean.speed_m_s" value="11.3"`, "7 8\n11 105</textarea>"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
}

// A picture that is opened as a draft is not read out.
func TestGuideOpensNoPicture(t *testing.T) {
	f := newFixture(t)
	w := f.sendFile("/new", typing(nil, "do", "open"), "draft", "barn.png", []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"))
	if note, _ := between(w.Body.String(), `id="f-draft-note"`, "</p>"); w.Code != http.StatusUnprocessableEntity || !strings.Contains(note, "is no text") || strings.Contains(note, "PNG") {
		t.Errorf("%d %s", w.Code, note)
	}
}

// Without scripts a button leads back to what it changed, and Draw says why nothing is drawn.
func TestGuideButtonsLeadBack(t *testing.T) {
	f := newFixture(t)
	page := f.browse("POST", "/new", typing(gardenForm(), "do", "look", "site.obstacles[1].width_m", ""), nil).Body.String()
	for _, want := range []string{`value="add:site.obstacles" formaction="/new#f-site-obstacles-2"`, `value="add:towers" formaction="/new#f-towers-3"`,
		`value="remove:towers[0]" formaction="/new#f-towers"`, `value="look" formaction="/new#plan"`, `barn is not in the plan yet`, `<a href="#f-site-obstacles-1-width-m">Width</a>`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	bare := f.browse("POST", "/new", typing(nil, "do", "look"), nil).Body.String()
	if !strings.Contains(bare, "There is nothing to draw yet") {
		t.Error("nothing says that there is nothing to draw")
	}
}
