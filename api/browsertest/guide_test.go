package browsertest

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// answers are what the builder of an invented garden types, field by field.
var answers = [][2]string{
	{"site.name", "Long Meadow"}, {"site.latitude", "61.04"}, {"site.longitude", "4.53"},
	{"towers[0].hub_height_m", "12"}, {"towers[0].cost", "650"}, {"money.turbine_cost", "1900"},
	{"money.price_per_kwh", "0.28"}, {"solar.cost_per_kw", "1500"},
}

// typeAnswers types them, chooses the ground and takes an invented machine.
func typeAnswers(t *testing.T, tab context.Context) {
	t.Helper()
	do(t, tab, choose("example", "garden"), click(`button[value=example]`), until(field("turbine.name")+`.value !== ""`))
	do(t, tab, choose("site.ground.cover", "rough"), chromedp.Click(named("none.obstacles")))
	for _, a := range answers {
		do(t, tab, retype(a[0], a[1]))
	}
}

// retype types over what is in a field.
func retype(name, text string) step {
	return chromedp.Steps(run(field(name)+`.focus(); `+field(name)+`.select()`), chromedp.KeyEvent(text))
}

// choose takes an option of a list, as a hand would: with what follows from it.
func choose(name, option string) step {
	return run(`(() => {
		const list = ` + field(name) + `;
		list.value = ` + quoted(option) + `;
		list.dispatchEvent(new Event("input", {bubbles: true}));
		list.dispatchEvent(new Event("change", {bubbles: true}));
	})()`)
}

// drop drags a file from outside the browser onto an element and lets go of it.
func drop(selector, path string) step {
	return chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		at, err := chromedp.Evaluate[struct{ X, Y float64 }](`(() => {
			const e = document.querySelector(`+quoted(selector)+`);
			e.scrollIntoView({block: "center", behavior: "instant"});
			const b = e.getBoundingClientRect();
			return {X: b.left + b.width / 2, Y: b.top + b.height / 2};
		})()`)(ctx, target)
		if err != nil {
			return err
		}
		held := &input.DragData{Items: []*input.DragDataItem{}, Files: []string{path}, DragOperationsMask: 1}
		for _, kind := range []input.DispatchDragEventType{input.DispatchDragEventTypeDragEnter, input.DispatchDragEventTypeDragOver,
			input.DispatchDragEventTypeDrop} {
			event := input.DispatchDragEventParams{Type: kind, X: at.X, Y: at.Y, Data: held}
			if _, err := chromedp.Call(ctx, input.DispatchDragEvent, event); err != nil {
				return err
			}
		}
		return nil
	})
}

// result is what a result page says first.
type result struct{ id, verdict, energy string }

// leads are how a verdict begins, by the document's answer.
var leads = map[string]string{
	"worth_it":     "By this estimate a mast is worth it here.",
	"close_call":   "By this estimate it is a close call.",
	"not_worth_it": "By this estimate a mast is not worth it here.",
	"cannot_say":   "What is known is too little for a verdict.",
}

func readResult(t *testing.T, tab context.Context) (r result) {
	t.Helper()
	do(t, tab, chromedp.WaitVisible(chromedp.CSS("#verdict")))
	at := value[string](t, tab, `location.pathname`)
	r.id = at[strings.LastIndex(at, "/")+1:]
	r.verdict = spaced(value[string](t, tab, `document.getElementById("verdict").textContent`))
	r.energy = spaced(value[string](t, tab, `document.querySelector("#number-energy .value").textContent`))
	return r
}

// A builder opens the page, types what is known, drops a year of a station's wind, and sees whether the mast is worth it.
func TestGuideToTheVerdict(t *testing.T) {
	i, file := demo(t), dataFile(t, "isd_lite", "011080-99999-2015")
	page := tab(t, 1280, 900)
	w := watch(t, page, i.Base)
	do(t, page, chromedp.Navigate(i.Base+"/new"))
	typeAnswers(t, page)
	do(t, page, click(`[name="by.wind"][value=file]`), drop(`[data-drop="f-wind-file"]`, file),
		until(`document.querySelector('[name="by.wind"]:checked').value === "record"`), until(field("wind.record.id")+`.value !== ""`))
	if got := value[string](t, page, field("site.name")+`.value`); got != answers[0][1] {
		t.Errorf("the file's coming loses what was typed: %q", got)
	}
	do(t, page, click("button.primary[value=see]"))
	seen := readResult(t, page)
	checkAgainstDocument(t, i.Base, seen)
	if plain := plainly(t, i.Base, file); plain.verdict != seen.verdict || plain.energy != seen.energy {
		t.Errorf("with scripts %+v, without %+v", seen, plain)
	}
	if _, faults := w.weight(); len(faults) > 0 {
		t.Errorf("on the way: %q", faults)
	}
}

// checkAgainstDocument holds what a page says to what the API answers.
func checkAgainstDocument(t *testing.T, base string, seen result) {
	t.Helper()
	var e estimate
	get(t, base+"/v1/sites/"+seen.id+"/estimate", &e)
	checkVerdict(t, seen.verdict, &e)
	checkShown(t, "energy", seen.energy, e.best(t).Energy.Net)
}

// What was typed is there after a reload; it goes out as a document and comes in again.
func TestDraftSurvives(t *testing.T) {
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"))
	typeAnswers(t, page)
	typed := fields(t, page)
	do(t, page, until(`(localStorage.getItem("mastworth.draft./new") || "").includes("0.28")`), chromedp.Reload(),
		until(field("money.price_per_kwh")+`.value === "0.28"`))
	if again := fields(t, page); again != typed {
		t.Errorf("before the reload\n%s\nafter\n%s", typed, again)
	}

	path := download(t, page, click("button[value=draft]"), "mastworth.yaml")
	if text, err := os.ReadFile(path); err != nil || !strings.Contains(string(text), "name: Long Meadow") {
		t.Fatalf("%v %s", err, text)
	}
	fresh := tab(t, 1280, 900)
	do(t, fresh, chromedp.Navigate(i.Base+"/new"), chromedp.SetUploadFiles(chromedp.CSS("#f-draft"), []string{path}),
		click("button[value=open]"),
		until(field("money.price_per_kwh")+`.value === "0.28"`))
	if again := fields(t, fresh); again != typed {
		t.Errorf("what was downloaded\n%s\ncomes back as\n%s", typed, again)
	}
}

// download is where the file is that a step brings.
func download(t *testing.T, page context.Context, by step, name string) string {
	t.Helper()
	folder := t.TempDir()
	_, err := chromedp.CallBrowser(page, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{
		Behavior:         browser.SetDownloadBehaviorBehaviorAllow,
		BrowserContextID: chromedp.FromContext(page).BrowserContextID, DownloadPath: folder})
	if err != nil {
		t.Fatal(err)
	}
	do(t, page, by)
	for began := time.Now(); time.Since(began) < 10*time.Second; time.Sleep(50 * time.Millisecond) {
		path := filepath.Join(folder, name)
		if _, err := os.Stat(path); err == nil {
			return path
		}
	}
	t.Fatalf("%s is not downloaded", name)
	return ""
}

// fields are the form's filled fields, one a line.
func fields(t *testing.T, page context.Context) string {
	t.Helper()
	return value[string](t, page, `[...new FormData(document.getElementById("guide"))]
		.filter(([name, v]) => typeof v === "string" && v !== "" && !/^(units|example|other|version)/.test(name))
		.map(([name, v]) => name + "=" + v).sort().join("\n")`)
}

// A wrong number is told beside its field and above all, from where a click leads to the field.
func TestFaultsAreToldAtTheField(t *testing.T) {
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"))
	typeAnswers(t, page)
	do(t, page, click(`[name="by.wind"][value=mean]`), typeInto("wind.mean.speed_m_s", "fresh"), typeInto("wind.mean.height_m", "10"),
		click("button.primary[value=see]"), chromedp.WaitVisible(chromedp.CSS("#faults")))
	wrong := field("wind.mean.speed_m_s")
	note := value[string](t, page, `document.getElementById(`+wrong+`.getAttribute("aria-describedby").split(" ")[0]).textContent`)
	if !strings.Contains(note, "number") {
		t.Errorf("beside the field: %q", note)
	}
	if value[string](t, page, wrong+`.getAttribute("aria-invalid")`) != "true" || value[string](t, page, wrong+`.value`) != "fresh" {
		t.Error("the field is not marked, or has lost what was typed")
	}
	do(t, page, click("#faults a"))
	if name := value[string](t, page, `document.activeElement.name`); name != "wind.mean.speed_m_s" {
		t.Errorf("the fault leads to %q", name)
	}
	pictures(t, page, "index-new-faults")
}

// The obstacles are drawn while they are typed.
func TestPlanFollowsTheTyping(t *testing.T) {
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"))
	do(t, page, click(`button[value="add:site.obstacles"]`), until(field("site.obstacles[0].name")+` !== null`))
	for _, a := range [][2]string{{"name", "barn"}, {"bearing_deg", "225"}, {"distance_m", "40"}, {"height_m", "7"}, {"width_m", "15"}} {
		do(t, page, chromedp.SendKeys(named("site.obstacles[0]."+a[0]), a[1]))
	}
	do(t, page, until(`document.querySelector("#plan svg") !== null && document.querySelector("#plan").textContent.includes("barn")`))
	if n := value[int](t, page, `document.querySelectorAll("#plan svg").length`); n != 1 {
		t.Errorf("%d drawings", n)
	}
}
