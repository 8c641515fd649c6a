package browsertest

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"net/http"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// The sliders work out by the service what would come out with other numbers, and tell what it answers to the changed request.
func TestSlidersRecompute(t *testing.T) {
	i := demo(t)
	id := siteIDs(t, i)[0]
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/sites/"+id), chromedp.WaitVisible(chromedp.CSS("#moves")))
	before := shownNumbers(t, page)

	// The demo's towers cost 650 at 12 m and 1400 at 18 m: half way between, half of what lies between.
	for _, c := range []struct {
		name    string
		change  func(request, money map[string]any, to float64)
		key     string
		presses int
	}{
		{"price", func(_, money map[string]any, to float64) { money["price_per_kwh"] = to }, kb.ArrowRight, 25},
		{"turbine", func(_, money map[string]any, to float64) { money["turbine_cost"] = to }, kb.ArrowLeft, 30},
		{"tower", func(request, _ map[string]any, to float64) {
			request["towers"] = []tower{{12, 650 * to / 100}, {18, 1400 * to / 100}, {24, 2300 * to / 100}}
		}, kb.ArrowLeft, 8},
		{"height", func(request, _ map[string]any, to float64) {
			if to != 15 {
				t.Fatalf("the height slider is at %g", to)
			}
			request["towers"] = []tower{{15, 1025}}
		}, kb.ArrowLeft, 18},
	} {
		do(t, page, chromedp.Focus(chromedp.CSS("#move-"+c.name)), chromedp.KeyEvent(strings.Repeat(c.key, c.presses)),
			until(`document.getElementById("moves-state").textContent.startsWith("Recomputed")`))
		to := value[float64](t, page, `document.getElementById("move-`+c.name+`").valueAsNumber`)
		var e estimate
		get(t, i.Base+"/v1/sites/"+id+"/estimate", &e)
		changed := maps.Clone(e.Request)
		c.change(changed, changed["money"].(map[string]any), to)
		checkMoved(t, page, c.name, recompute(t, i.Base, changed))
		hub := value[string](t, page, `document.querySelector("#number-height dt").textContent`)
		if stale := value[bool](t, page, `!document.getElementById("moves-stale").hidden`); !stale || (hub == "Hub height you try") != (c.name == "height") {
			t.Errorf("%s: the height is called %q, and that the rest is as saved is told: %v", c.name, hub, stale)
		}
		do(t, page, click("#moves button[type=reset]"), until(`document.getElementById("moves-state").textContent === ""`))
	}
	if !value[bool](t, page, `document.getElementById("moves-stale").hidden && document.querySelector("#number-height dt").textContent !== "Hub height you try"`) {
		t.Error("set back, it still speaks of numbers that are tried")
	}
	if after := shownNumbers(t, page); !maps.Equal(before, after) {
		t.Errorf("as saved: %v, set back: %v", before, after)
	}
}

// tower is one of a request's.
type tower struct {
	HubM float64 `json:"hub_height_m"`
	Cost float64 `json:"cost"`
}

// recompute is what the service answers to a request, with as few draws as the sliders ask for.
func recompute(t *testing.T, base string, request map[string]any) (e estimate) {
	t.Helper()
	uncertainty, _ := request["uncertainty"].(map[string]any)
	uncertainty = maps.Clone(uncertainty)
	if uncertainty == nil {
		uncertainty = map[string]any{}
	}
	uncertainty["draws"] = 200
	request["uncertainty"] = uncertainty
	body, err := json.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	send(t, http.MethodPost, base+"/v1/estimates", "application/json", strings.NewReader(string(body)), &e)
	return e
}

// checkMoved holds a result page to an estimate.
func checkMoved(t *testing.T, page context.Context, slider string, e estimate) {
	t.Helper()
	shown, best, money := shownNumbers(t, page), e.best(t), e.Request["money"].(map[string]any)
	for name, want := range map[string]float64{"height": best.HubM, "energy": best.Energy.Net, "cost": best.Cost.PerKWh,
		"solar": best.Solar.PerKWh, "price": money["price_per_kwh"].(float64), "wind": best.Wind.Speed, "capital": best.Cost.Capital} {
		checkShown(t, slider+" slid, "+name, shown[name], want)
	}
	checkVerdict(t, spaced(value[string](t, page, `document.getElementById("verdict").textContent`)), &e)
}

// shownNumbers are a result page's chief numbers by what they are.
func shownNumbers(t *testing.T, page context.Context) map[string]string {
	t.Helper()
	numbers := value[map[string]string](t, page, `Object.fromEntries([...document.querySelectorAll("[id^=number-]")]
		.map((e) => [e.id.slice(7), e.querySelector(".value").textContent]))`)
	for name, text := range numbers {
		numbers[name] = strings.TrimSuffix(spaced(text), " EUR")
	}
	return numbers
}

// A height that is no multiple of a slider's step is where the slider stands, in either units.
func TestSlidersBeginAsSaved(t *testing.T) {
	i := demo(t)
	var request map[string]any
	get(t, i.Base+"/v1/sites/"+siteIDs(t, i)[0], &struct {
		Request *map[string]any `json:"request"`
	}{&request})
	request["towers"] = []tower{{12.192, 650}, {18.288, 1400}, {24.384, 2300}}
	body, err := json.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	var made struct {
		ID string `json:"id"`
	}
	send(t, http.MethodPost, i.Base+"/v1/sites", "application/json", strings.NewReader(string(body)), &made)
	var e estimate
	get(t, i.Base+"/v1/sites/"+made.ID+"/estimate", &e)
	for _, units := range []string{"metric", "feet"} {
		page := tab(t, 1280, 900)
		do(t, page, chromedp.Navigate(i.Base+"/sites/"+made.ID+"?units="+units), chromedp.WaitVisible(chromedp.CSS("#moves")))
		if at := value[float64](t, page, `document.getElementById("move-height").valueAsNumber`); math.Abs(at-e.best(t).HubM) > 1e-6 {
			t.Errorf("%s: the slider begins at %g, not at %g", units, at, e.best(t).HubM)
		}
		says := value[string](t, page, `document.querySelector("output[for=move-height]").textContent + "|" + document.querySelector("#number-height .value").textContent`)
		if slider, tile, _ := strings.Cut(says, "|"); slider != tile {
			t.Errorf("%s: the slider says %q, the tile %q", units, slider, tile)
		}
		for key, hub := range map[string]float64{kb.Home: 12.192, kb.End: 24.384} { // each end is a tower
			do(t, page, chromedp.Focus(chromedp.CSS("#move-height")), chromedp.KeyEvent(key))
			want := map[string]string{"metric": fmt.Sprintf("%.1f m", hub), "feet": fmt.Sprintf("%.0f ft", hub/0.3048)}[units]
			if at := spaced(value[string](t, page, `document.querySelector("output[for=move-height]").textContent`)); at != want {
				t.Errorf("%s: the slider ends at %s, want %s", units, at, want)
			}
		}
		do(t, page, chromedp.Focus(chromedp.CSS("#move-height")), chromedp.KeyEvent(kb.Home), chromedp.KeyEvent(kb.ArrowRight), until(`document.getElementById("moves-state").textContent.startsWith("Recomputed")`))
		says = value[string](t, page, `document.querySelector("output[for=move-height]").textContent + "|" + document.querySelector("#number-height .value").textContent`)
		if slider, tile, _ := strings.Cut(says, "|"); slider != tile {
			t.Errorf("%s, a step lower: the slider says %q, the tile %q", units, slider, tile)
		}
	}
}
