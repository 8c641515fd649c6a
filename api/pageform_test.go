package api

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"mastworth/openapi"
)

// gardenForm is a whole site as one would type it.
func gardenForm() url.Values {
	return url.Values{"units.shown": {"metric"}, "units": {"metric"}, "do": {"see"}, "site.name": {"Hedge End"}, "site.latitude": {"52.2"}, "site.longitude": {"-1.4"},
		"site.ground.cover": {"rough"}, "site.obstacles[0].name": {""}, "site.obstacles[1].name": {"barn"}, "site.obstacles[1].bearing_deg": {"95"},
		"site.obstacles[1].distance_m": {"70"}, "site.obstacles[1].height_m": {"6"}, "site.obstacles[1].width_m": {"24"},
		"site.obstacles[1].porosity": {"40"}, "by.wind": {"mean"}, "wind.mean.speed_m_s": {"4.9"}, "wind.mean.height_m": {"10"}, "by.machine": {"table"},
		"turbine.rotor_diameter_m": {"2.4"}, "turbine.power_curve.points": {"wind;power\r\n3;8\r\n5;105\r\n8;440\r\n12;900\r\n20;420"}, "by.towers": {"list"},
		"towers[0].hub_height_m": {"12"}, "towers[0].cost": {"650"}, "towers[1].hub_height_m": {"18"}, "towers[1].cost": {"1400"},
		"towers[2].hub_height_m": {""}, "towers[2].cost": {""}, "money.turbine_cost": {"1900"}, "money.price_per_kwh": {"0.28"}, "losses.wiring": {"7"}}
}

func typing(v url.Values, pairs ...string) url.Values {
	out := url.Values{}
	for name, given := range v {
		out[name] = given
	}
	for i := 0; i < len(pairs); i += 2 {
		out.Set(pairs[i], pairs[i+1])
	}
	return out
}

// saved is the request of the site that a page leads to.
func (f *fixture) saved(w *httptest.ResponseRecorder) openapi.Site {
	f.t.Helper()
	if w.Code != http.StatusSeeOther {
		f.t.Fatalf("%d %s", w.Code, w.Body)
	}
	var site openapi.Site
	f.do("GET", "/v1"+w.Header().Get("Location"), nil).want(http.StatusOK).json(&site)
	return site
}

func TestGuideSavesWhatWasTyped(t *testing.T) {
	f := newFixture(t)
	f.do("GET", "/new", nil).want(http.StatusOK)
	site := f.saved(f.browse("POST", "/new", gardenForm(), nil))
	r := &site.Request
	o := (*r.Site.Obstacles)[0]
	if len(*r.Site.Obstacles) != 1 || *o.Name != "barn" || *o.Porosity != 0.4 || *r.Losses.Wiring != 0.07 || len(r.Towers.List) != 2 || len(r.Turbine.PowerCurve.Points) != 5 {
		t.Errorf("%+v", r)
	}
	if w := f.browse("GET", "/sites/"+site.ID, nil, nil); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "Hedge End") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

// Feet and miles an hour are exact: 1 ft = 0.3048 m, 1 mile = 1609.344 m (international yard and pound agreement, 1959).
func TestGuideInFeet(t *testing.T) {
	f := newFixture(t)
	v := typing(gardenForm(), "units.shown", "feet", "units", "feet", "towers[0].hub_height_m", "40", "towers[1].hub_height_m", "60", "wind.mean.speed_m_s", "11",
		"wind.mean.height_m", "33", "money.currency", "USD", "turbine.rotor_diameter_m", "8", "turbine.power_curve.points", "7 8\n11 105\n18 440\n27 900\n45 420",
		"site.obstacles[1].distance_m", "230", "site.obstacles[1].height_m", "20", "site.obstacles[1].width_m", "80")
	r := f.saved(f.browse("POST", "/new", v, nil)).Request
	if got := r.Towers.List[0].HubHeightM; got != 12.192 {
		t.Errorf("40 ft are %g m", got)
	}
	if got := r.Wind.Mean.SpeedMS; got != 4.91744 {
		t.Errorf("11 mph are %g m/s", got)
	}
	if got := r.Turbine.PowerCurve.Points[0][0]; got != 3.12928 {
		t.Errorf("7 mph are %g m/s", got)
	}
	shown := f.browse("POST", "/new", typing(v, "do", "units", "units", "metric"), nil).Body.String()
	for _, want := range []string{`name="towers[0].hub_height_m" value="12.192"`, `name="wind.mean.speed_m_s" value="4.91744"`, "3.12928 8"} {
		if !strings.Contains(shown, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
}

// Every fault stands beside its field, and what was typed stays.
func TestGuideFaults(t *testing.T) {
	f := newFixture(t)
	for _, test := range []struct{ name, value, field, words string }{
		{"site.latitude", "", "site.latitude", "is missing"},
		{"site.latitude", "95", "site.latitude", "90"},
		{"site.longitude", "-12,345", "site.longitude", "may be -12345 or -12.345"},
		{"towers[1].hub_height_m", "tall", "towers[1].hub_height_m", "is no number"},
		{"towers[2].cost", "5", "towers[2].hub_height_m", "is missing"},
		{"site.obstacles[1].height_m", "-3", "site.obstacles[1].height_m", ""},
		{"site.obstacles[1].width_m", "", "site.obstacles[1].width_m", "is missing"},
		{"losses.wiring", "99", "losses.wiring", "must be from 0 % to 95 %, not 99 %"},
		{"wind.mean.speed_m_s", "", "wind.mean.speed_m_s", "is missing"},
		{"turbine.power_curve.points", "wind power\n3 8\n\n4 lots", "turbine.power_curve.points", "line 4: "},
		{"turbine.power_curve.points", "3 8", "turbine.power_curve.points", "points"},
		{"money.turbine_cost", "", "money.turbine_cost", "is missing"},
	} {
		w := f.browse("POST", "/new", typing(gardenForm(), test.name, test.value, "site.name", `a "<b>`), nil)
		body := w.Body.String()
		if w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s %q: %d", test.name, test.value, w.Code)
			continue
		}
		id := "f-" + strings.Trim(strings.NewReplacer(".", "-", "[", "-", "]", "", "_", "-").Replace(test.field), "-")
		note, ok := between(body, `id="`+id+`-note"`, "</p>")
		if !ok || !strings.Contains(note, `class="fault"`) || !strings.Contains(note, test.words) {
			t.Errorf("%s %q: no fault with %q beside it: %s", test.name, test.value, test.words, note)
		}
		if control, _ := between(body, `id="`+id+`"`, ">"); !strings.Contains(control, `aria-invalid="true"`) {
			t.Errorf("%s %q: the control does not say so: %s", test.name, test.value, control)
		}
		if !strings.Contains(body, `href="#`+id+`"`) || !strings.Contains(body, `value="a &#34;&lt;b&gt;"`) {
			t.Errorf("%s %q: no summary, or what was typed is gone", test.name, test.value)
		}
	}
}

func between(s, from, to string) (string, bool) {
	_, rest, ok := strings.Cut(s, from)
	out, _, end := strings.Cut(rest, to)
	return out, ok && end
}

// Buttons work without script: rows come and go, the world gives a place, an example fills the machine.
func TestGuideButtons(t *testing.T) {
	f := newFixture(t)
	press := func(pairs ...string) string {
		t.Helper()
		w := f.browse("POST", "/new", typing(gardenForm(), pairs...), nil)
		if w.Code != http.StatusOK {
			t.Fatalf("%v: %d %s", pairs, w.Code, w.Body)
		}
		return w.Body.String()
	}
	for _, test := range []struct {
		pairs     []string
		has, lack string
	}{
		{[]string{"do", "add:towers"}, `name="towers[3].cost"`, `name="towers[4].cost"`},
		{[]string{"do", "remove:towers[0]"}, `name="towers[0].hub_height_m" value="18"`, `name="towers[2].cost"`},
		{[]string{"do", "remove:site.obstacles[0]"}, `name="site.obstacles[0].name" value="barn"`, `name="site.obstacles[1].name"`},
		{[]string{"do", "add:nothing"}, "", ""},
		{[]string{"do", "remove:towers[99]"}, "", ""},
		{[]string{"do", "look"}, "barn, 6 m high", "fault"},
		{[]string{"world.x", "360", "world.y", "90", "do", ""}, `name="site.latitude" value="45"`, "fault"},
		{[]string{"world.narrow.x", "80", "world.narrow.y", "120", "do", ""}, `name="site.longitude" value="-90"`, "fault"},
		{[]string{"world.x", "0", "world.y", "0", "do", ""}, `name="site.latitude" value="52.2"`, "fault"},
		{[]string{"do", "example", "example", "six_boards"}, `name="turbine.design.gear.ratio" value="1:2"`, "3;8"},
		{[]string{"do", "units", "units", "feet"}, `name="towers[0].hub_height_m" value="39.37"`, "fault"},
	} {
		body := press(test.pairs...)
		if !strings.Contains(body, test.has) || test.lack != "" && strings.Contains(body, test.lack) {
			t.Errorf("%v: wants %q and not %q", test.pairs, test.has, test.lack)
		}
	}
	f.do("GET", "/new?example=paddock", nil).want(http.StatusOK)
	f.do("GET", "/new?example=moon", nil, header{"Accept", "application/json"}).problem(invalidParameters, "query.example", "garden")
	if w := f.browse("POST", "/new", typing(gardenForm(), "do", "open"), nil); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a draft without a file: %d", w.Code)
	}
}

// The page is made in less than 50 ms.
func TestGuideIsQuick(t *testing.T) {
	f := newFixture(t)
	best := time.Hour
	for range 5 {
		began := time.Now()
		f.browse("POST", "/new", typing(gardenForm(), "do", "look"), nil)
		best = min(best, time.Since(began))
	}
	t.Log(best)
	if best > 50*time.Millisecond && !raceDetector {
		t.Errorf("the page takes %s", best)
	}
}
