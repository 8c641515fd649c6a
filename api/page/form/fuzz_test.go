package form

import (
	"bytes"
	"encoding/json"
	"net/url"
	"reflect"
	"strings"
	"testing"

	"mastworth/api/document"
	"mastworth/api/page"
)

// FuzzForm sends arbitrary fields: a document comes out that is JSON, in either units, and once it has been through the form, it comes
// through it again as it is. The page can be shown.
func FuzzForm(f *testing.F) {
	for _, s := range []string{
		"site.latitude=52&site.longitude=-1.5&by.wind=mean&wind.mean.speed_m_s=5&towers[0].hub_height_m=12&towers[0].cost=500&money.turbine_cost=1e3",
		"units.shown=feet&site.elevation_m=300&by.towers=rule&towers.from_m=30&towers.cost_per_m2=1e300&wind.rose=1+2+3",
		"by.machine=design&by.load=short_circuit&other=%7B%22household%22%3A%7B%7D%7D&leave_out=site.map&none.obstacles=on",
		"turbine.power_curve.points=3+0%0A4,5+12%0A9;100&by.machine=table&site.obstacles[199].height_m=9&household.yearly_kwh=3%20500",
		"other=[]&towers[35].cost=x", "other=%7B%22towers%22:%7B%22a%22:1%7D%7D&solar.tilt_deg=BEST",
	} {
		f.Add(s)
	}
	set := page.New()
	f.Fuzz(func(t *testing.T, body string) {
		sent, err := url.ParseQuery(body)
		if err != nil || len(body) > 1<<14 {
			return
		}
		form := FromValues(sent)
		first := written(t, form)
		form.ChangeUnits(UnitsOf(sent.Get(ControlUnits)))
		written(t, form)
		again, err := FromDocument(first, form.Units)
		if err != nil {
			t.Fatalf("%v in %s", err, first)
		}
		once := written(t, FromValues(values(again)))
		back, err := FromDocument(once, form.Units)
		if err != nil {
			t.Fatalf("%v in %s", err, once)
		}
		if twice := written(t, FromValues(values(back))); !bytes.Equal(once, twice) {
			t.Fatalf("the document\n%s\ncomes back as\n%s", once, twice)
		}
		if len(body)%16 != 0 { // a page takes a hundred times as long as all the rest
			return
		}
		var b strings.Builder
		if err := set.Render(&b, "form", &page.Frame{Title: "x", Page: &View{Form: form, Action: "/new"}}); err != nil {
			t.Fatal(err)
		}
	})
}

func written(t *testing.T, f *Form) []byte {
	t.Helper()
	d, err := f.Document()
	if err != nil {
		t.Fatal(err)
	}
	if !json.Valid(d.JSON) {
		t.Fatalf("no JSON: %s", d.JSON)
	}
	return d.JSON
}

// FuzzFormDocument fills the form from an arbitrary document: in metres, a request comes through it as the same request.
func FuzzFormDocument(f *testing.F) {
	for _, name := range Examples() {
		f.Add([]byte(`{"site": {"latitude": 52.5, "longitude": -1, "obstacles": []}, "wind": {"mean": {"speed_m_s": 5, "height_m": 10}, "rose": [1, 2, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]}, "turbine": ` +
			examples[name] + `, "towers": {"from_m": 10, "to_m": 20, "step_m": 5, "cost_per_m": 100}, "money": {"turbine_cost": 1000}, "household": {}}`))
	}
	f.Add([]byte(`{"wind": {"mean": [1]}, "towers": [{"hub_height_m": "9"}, {"hub_height_m": null}], "site": 3}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		form, err := FromDocument(text, Metric)
		if err != nil {
			return
		}
		back := written(t, FromValues(values(form)))
		want, err := document.Decode(text, document.JSON)
		if err != nil {
			return
		}
		if h := want.Household; h != nil && reflect.ValueOf(*h).IsZero() {
			h.YearlyKWh = ptr(float64(defaultHomeKWh)) // which is what it stands for
		}
		got, err := document.Decode(back, document.JSON)
		if err != nil {
			t.Fatalf("%v in %s", err, back)
		}
		a, err := document.EncodeJSON(want)
		if err != nil {
			t.Fatal(err)
		}
		b, err := document.EncodeJSON(got)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Fatalf("it was\n%s\nand came back as\n%s", a, b)
		}
	})
}

func ptr[T any](v T) *T { return &v }
