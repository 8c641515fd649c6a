package browsertest

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// stops are what Tab has to come by on a page, in order: whatever can be used, is shown and is not left out on purpose; of the radio
// buttons of one name the chosen one.
const stops = `(() => {
	for (const d of document.querySelectorAll("details")) d.open = true;
	const usable = 'a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex="0"]';
	return [...document.querySelectorAll(usable)].filter((e) => e.tabIndex >= 0 && !e.disabled && e.getClientRects().length > 0
		&& getComputedStyle(e).visibility === "visible" && !(e.type === "radio" && !e.checked)).map((e, n) => {
		e.dataset.stop = String(n);
		return (e.id || e.name || e.textContent.trim()).slice(0, 40);
	});
})()`

// atFocus tells what has the focus, and what is wrong with how that is shown.
const atFocus = `(() => {
	const e = document.activeElement, look = getComputedStyle(e), box = e.getBoundingClientRect();
	const ring = look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 1.5;
	const inView = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
	return {Stop: e.dataset.stop === undefined ? -1 : Number(e.dataset.stop), Ring: ring, InView: inView, What: e.outerHTML.slice(0, 100)};
})()`

// Whoever has no mouse comes by every control of the guided form, in the order in which they stand, and sees where they are.
func TestKeyboardReachesAll(t *testing.T) {
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"), click(`button[value="add:site.obstacles"]`),
		until(field("site.obstacles[0].name")+` !== null`), typeInto("site.obstacles[0].name", "barn"),
		until(`(localStorage.getItem("mastworth.draft./new") || "").includes("barn")`),
		chromedp.Reload(), until(field("site.obstacles[0].name")+` !== null`)) // the draft is back, and the focus nowhere
	want := value[[]string](t, page, stops)
	if len(want) < 70 {
		t.Fatalf("only %d controls: %v", len(want), want)
	}
	for n, name := range want {
		do(t, page, chromedp.KeyEvent(kb.Tab))
		at := value[struct {
			Stop         int
			Ring, InView bool
			What         string
		}](t, page, atFocus)
		if strings.Contains(at.What, `type="date"`) || strings.Contains(at.What, `type="time"`) {
			t.Fatalf("%s has stops of its own, which this test does not count", name)
		}
		if at.Stop != n {
			t.Fatalf("after %d steps the focus is on %s, and should be on %s", n+1, at.What, name)
		}
		if !at.Ring || !at.InView {
			t.Errorf("the focus on %s is not to be seen: ring %t, in view %t", at.What, at.Ring, at.InView)
		}
	}
}

// A radio button is chosen by the arrows, and what belongs to it is shown.
func TestArrowsChoose(t *testing.T) {
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"), chromedp.Focus(chromedp.CSS(`[name="by.wind"]:checked`)), chromedp.KeyEvent(kb.ArrowDown))
	chosen := value[string](t, page, `document.querySelector('[name="by.wind"]:checked').value`)
	if chosen == "mean" || !value[bool](t, page, `document.querySelector(".panel.wind-`+chosen+`").getClientRects().length > 0`) {
		t.Errorf("chosen: %s", chosen)
	}
	if value[bool](t, page, `document.querySelector(".panel.wind-mean").getClientRects().length > 0`) {
		t.Error("what was chosen before still stands there")
	}
}
