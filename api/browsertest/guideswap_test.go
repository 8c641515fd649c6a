package browsertest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// slowly has what the page asks for take a while, or fail.
const slowly = `window.asked = window.fetch, window.held = [];
	window.fetch = (...all) => new Promise((go, stop) => window.held.push({go: () => window.asked(...all).then(go, stop), stop}));`

// held waits until so many requests are under way.
func held(n string) step { return until(`window.held.length === ` + n) }

// What is typed while an answer is under way is there afterwards, with the focus where it was.
func TestTypingMeanwhileStays(t *testing.T) {
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"), run(slowly), click(`button[value="add:site.obstacles"]`), held("1"),
		typeInto("site.name", "Long Meadow"), typeInto("towers[1].cost", "1400"), choose("site.ground.cover", "rough"),
		chromedp.Click(named("none.obstacles")), run(field("site.name")+`.focus()`), run(`window.held[0].go()`),
		until(field("site.obstacles[0].name")+` !== null`))
	for name, want := range map[string]string{"site.name": "Long Meadow", "towers[1].cost": "1400", "site.ground.cover": "rough"} {
		if got := value[string](t, page, field(name)+`.value`); got != want {
			t.Errorf("%s is %q", name, got)
		}
	}
	if !value[bool](t, page, field("none.obstacles")+`.checked`) || value[string](t, page, `document.activeElement.name`) != "site.name" {
		t.Error("the box is not ticked any more, or the focus is lost")
	}
}

// Two buttons pressed one after the other both do what they are for, and what is typed into a row moves with it.
func TestButtonsTakeTurns(t *testing.T) {
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"), run(slowly), click(`button[value="add:site.obstacles"]`), held("1"), click(`button[value="add:towers"]`),
		run(`window.held[0].go()`), held("2"), run(`window.held[1].go()`), until(field("towers[3].cost")+` !== null`))
	if !value[bool](t, page, field("site.obstacles[0].name")+` !== null`) {
		t.Error("the first row is gone")
	}
	do(t, page, click(`button[value="remove:towers[0]"]`), held("3"), typeInto("towers[2].cost", "77"), run(`window.held[2].go()`),
		until(field("towers[3].cost")+` === null`))
	if got := value[string](t, page, field("towers[1].cost")+`.value`); got != "77" {
		t.Errorf("what was typed into the third row is %q in the second", got)
	}
}

// That a file is being read is said, and so is that it did not arrive; what was typed stays.
func TestUploadIsTold(t *testing.T) {
	i := demo(t)
	page := tab(t, 1280, 900)
	path := filepath.Join(t.TempDir(), "garden.csv")
	if err := os.WriteFile(path, []byte("time,speed\n2024-01-01 00:00,5\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	told := func() string {
		return value[string](t, page, `[...document.querySelectorAll("body > [role=status], .wind-file > .notice")].map((e) => e.textContent).join("|")`)
	}
	do(t, page, chromedp.Navigate(i.Base+"/new"), run(slowly), click(`[name="by.wind"][value=file]`),
		chromedp.SetUploadFiles(chromedp.CSS("#f-wind-file"), []string{path}), held("1"))
	if got := told(); strings.Count(got, "being read") != 2 {
		t.Errorf("under way: %q", got)
	}
	do(t, page, typeInto("site.name", "Long Meadow"), run(`window.held[0].stop(new TypeError("no network"))`), until(`document.body.textContent.includes("did not arrive")`))
	if got := told(); strings.Count(got, "did not arrive") != 2 || value[string](t, page, field("site.name")+`.value`) != "Long Meadow" {
		t.Errorf("failed: %q", got)
	}
}

// A drawing that comes late does not take the place of a newer one, and its words are told.
func TestLateDrawingIsDropped(t *testing.T) {
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"), click(`button[value="add:site.obstacles"]`), until(field("site.obstacles[0].name")+` !== null`), run(slowly))
	for _, a := range [][2]string{{"name", "barn"}, {"bearing_deg", "225"}, {"distance_m", "40"}, {"height_m", "7"}} {
		do(t, page, typeInto("site.obstacles[0]."+a[0], a[1]))
	}
	do(t, page, until(`window.held.length > 0`), run(`(() => { const n = window.held.length; window.first = window.held[n - 1]; window.held = []; })()`),
		typeInto("site.obstacles[0].width_m", "15"), held("1"), run(`window.held[0].go()`), until(`document.querySelector("#plan svg") !== null`),
		run(`window.first.go()`), chromedp.Sleep(300e6))
	if !value[bool](t, page, `document.querySelector("#plan svg") !== null`) {
		t.Error("the older drawing, which lacks the width, is shown")
	}
	if got := value[string](t, page, `document.querySelector("body > [role=status]").textContent`); !strings.Contains(got, "barn") {
		t.Errorf("told: %q", got)
	}
}

// A page of faults begins at the faults, the map is no stop of Tab, and pointing at it leaves the focus there.
func TestFocusIsNotLost(t *testing.T) {
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"), run(`document.querySelector("[name=world]").scrollIntoView()`), click(`[name=world]`), until(field("site.latitude")+`.value !== ""`))
	if got := value[string](t, page, `document.activeElement.name + document.activeElement.tabIndex`); got != "world-1" {
		t.Errorf("after pointing the focus is at %q", got)
	}
	do(t, page, click("button.primary[value=see]"), chromedp.WaitVisible(chromedp.CSS("#faults")), until(`document.activeElement.id === "faults"`))
}

// Whoever signs out leaves nothing typed behind.
func TestSigningOutForgetsDrafts(t *testing.T) {
	script, err := os.ReadFile(filepath.Join("..", "page", "assets", "signout.js"))
	if err != nil {
		t.Fatal(err)
	}
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/signin"), run(`(() => {
		localStorage.setItem("mastworth.draft./new", "site.name=Long+Meadow");
		localStorage.setItem("another", "stays");
		const form = document.createElement("form");
		form.id = "signout"; // which is there for who is signed in
		document.body.append(form);
	})()`), run(string(script)), run(`document.getElementById("signout").dispatchEvent(new Event("submit"))`))
	if left := value[string](t, page, `Object.keys(localStorage).join()`); left != "another" {
		t.Errorf("left behind: %s", left)
	}
}
