package browsertest

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

const mostWeight = 150_000 // bytes of a page as it travels, with all it loads

// Every page of the contract, in a browser as wide as a phone, a tablet and a desk, light and dark: it is built as a page should be,
// nothing is cut off, nothing fails, nothing is asked of anyone else, and whoever hears it or goes by keys can use it.
func TestEveryPage(t *testing.T) {
	axe := axeScript(t)
	i := demo(t)
	f := fill(t, i)
	for _, p := range places(t, f) {
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			page := tab(t, 1280, 900)
			w := watch(t, page, i.Base)
			do(t, page, colours("light"), chromedp.Navigate(i.Base+p.path))
			do(t, page, run(everythingLoads), until(`document.readyState === "complete" && [...document.images].every((i) => i.complete)`))
			for _, fault := range value[[]string](t, page, structure) {
				t.Error(fault)
			}
			bytes, _ := w.weight() // before the drawings for dark come as well
			controls := value[[]string](t, page, shownControls)
			do(t, page, chromedp.EmulateViewport(360, 800))
			if narrow := value[[]string](t, page, shownControls); !slices.Equal(narrow, controls) {
				t.Errorf("at 360 px it has other controls: %v, not %v", narrow, controls)
			}
			for _, fault := range value[[]string](t, page, cutOff) {
				t.Errorf("at 360 px: %s", fault)
			}
			if p.reference() {
				do(t, page, run(onlyFirst))
			}
			pictures(t, page, p.name)
			do(t, page, colours("light"), chromedp.EmulateViewport(1280, 900), run(everythingLoads))
			audit(t, page, axe, "light")
			do(t, page, colours("dark"))
			audit(t, page, axe, "dark")
			if t.Logf("%s weighs %.0f kB", p.path, bytes/1000); bytes > mostWeight {
				t.Errorf("it weighs %.0f bytes", bytes)
			}
			_, faults := w.weight()
			for _, fault := range faults {
				t.Error(fault)
			}
		})
	}
}

// colours lets the browser prefer light or dark.
func colours(scheme string) step {
	return chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		return err
	})
}

// everythingLoads brings in what waits until it is scrolled to, and unfolds what is folded, so that it is looked at too.
const everythingLoads = `(() => {
	for (const i of document.images) i.loading = "eager";
	for (const d of document.querySelectorAll("details")) d.open = true;
})()`

// onlyFirst leaves a few of what a book has a hundred times, for pictures, and for axe, which would look at all of it for minutes.
const onlyFirst = `document.querySelectorAll("article ~ article ~ article, details ~ details ~ details ~ details, #schemas ~ table ~ table ~ table")
	.forEach((e) => e.remove())`

// structure tells what is wrong with how a page is built.
const structure = `(() => {
	const faults = [], all = (s) => [...document.querySelectorAll(s)];
	const text = (e) => (e ? e.textContent : "").trim();
	if (all("h1").length !== 1) faults.push(all("h1").length + " main headings");
	let level = 0;
	for (const h of all("h1, h2, h3, h4, h5, h6")) {
		const now = Number(h.tagName[1]);
		if (now > level + 1) faults.push("a heading of level " + now + " after one of level " + level + ": " + text(h));
		if (!text(h)) faults.push("an empty heading");
		level = now;
	}
	for (const c of all("input:not([type=hidden]), select, textarea, button")) {
		const by = (c.getAttribute("aria-labelledby") || "").split(" ").map((id) => text(document.getElementById(id))).join("");
		const label = c.tagName === "BUTTON" ? text(c) : c.type === "image" ? c.alt : [...c.labels].map(text).join("");
		if (!(label || by || c.getAttribute("aria-label"))) faults.push("no label: " + c.outerHTML.slice(0, 120));
	}
	for (const i of all("img")) if (!i.alt) faults.push("no words for " + i.src);
	for (const s of all("svg")) {
		if (s.closest("[aria-hidden=true]") || s.parentElement.closest("svg")) continue;
		const words = s.getAttribute("aria-label") || text(s.querySelector(":scope > title"))
			|| (s.getAttribute("aria-labelledby") || "").split(" ").map((id) => text(document.getElementById(id))).join("");
		if (!words || s.getAttribute("role") !== "img") faults.push("no words for a drawing: " + s.outerHTML.slice(0, 120));
	}
	const ids = all("[id]").map((e) => e.id);
	for (const id of new Set(ids.filter((id, n) => ids.indexOf(id) !== n))) faults.push("an id twice: " + id);
	for (const a of all('a[href^="#"]')) if (!document.getElementById(a.hash.slice(1))) faults.push("leads nowhere: " + a.outerHTML);
	return faults;
})()`

// shownControls are the names of what one may type into, tick or choose; the drawn world stands twice, in two sizes.
const shownControls = `[...document.querySelectorAll("input:not([type=hidden], [type=image]), select, textarea")]
	.filter((e) => e.checkVisibility()).map((e) => e.name + (e.type === "radio" ? "=" + e.value : ""))`

// cutOff tells what does not fit into the window's width: the page, or what stands out of it and cannot be scrolled to.
const cutOff = `(() => {
	const faults = [], wide = document.documentElement.clientWidth;
	if (document.documentElement.scrollWidth > wide) faults.push("the page is " + document.documentElement.scrollWidth + " px wide");
	for (const e of document.body.querySelectorAll("*")) {
		const b = e.getBoundingClientRect();
		if (b.width === 0 || b.right <= wide + 1 || e.closest("svg") && e.tagName !== "svg") continue;
		let inside = e.parentElement;
		while (inside && !/auto|scroll/.test(getComputedStyle(inside).overflowX)) inside = inside.parentElement;
		if (!inside) faults.push("stands out by " + Math.round(b.right - wide) + " px: " + e.outerHTML.slice(0, 120));
	}
	for (const e of document.querySelectorAll("select, button, input:not([type=hidden], [type=image], .first)")) {
		const b = e.getBoundingClientRect();
		if (b.width > 0 && b.left < 0) faults.push("begins outside: " + e.outerHTML.slice(0, 120));
	}
	return faults.slice(0, 5);
})()`

// pictures keeps what a page looks like, where a folder for it is given.
func pictures(t *testing.T, page context.Context, name string) {
	t.Helper()
	folder := os.Getenv("MASTWORTH_TEST_SCREENSHOTS")
	if folder == "" {
		return
	}
	do(t, page, run(`for (const d of document.querySelectorAll("details")) d.open = false`))
	for _, scheme := range []string{"light", "dark"} {
		for _, width := range []int{360, 768, 1280} {
			if scheme == "dark" && width == 768 { // which would show nothing that the others do not
				continue
			}
			do(t, page, colours(scheme), chromedp.EmulateViewport(int64(width), 900),
				run(`scrollTo(0, 0)`), until(`[...document.images].every((i) => i.complete)`))
			value[bool](t, page, `new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))`) // painted
			keep(t, page, filepath.Join(folder, name+"-"+strconv.Itoa(width)+"-"+scheme+".jpg"), chromedp.FullScreenshot(90))
		}
	}
	if name == "report" {
		print := chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize())
		keep(t, page, filepath.Join(folder, name+".pdf"), print)
	}
}

func keep(t *testing.T, page context.Context, path string, picture chromedp.Action[[]byte]) {
	t.Helper()
	content, err := chromedp.Run(page, picture)
	if err == nil {
		err = os.MkdirAll(filepath.Dir(path), 0o750)
	}
	if err == nil {
		err = os.WriteFile(path, content, 0o600)
	}
	if err != nil {
		t.Error(err)
	}
}

// Every page is there within 50 ms once what it shows is kept.
func TestPagesAreQuick(t *testing.T) {
	i := demo(t)
	for _, p := range places(t, fill(t, i)) {
		path := p.path
		if p.name == "refused" {
			continue
		}
		getText(t, i.Base+path) // works it out
		var took []time.Duration
		for range 9 {
			began := time.Now()
			getText(t, i.Base+path)
			took = append(took, time.Since(began))
		}
		slices.Sort(took)
		median := took[len(took)/2]
		t.Logf("%s takes %.1f ms", path, median.Seconds()*1000)
		if median > 50*time.Millisecond {
			t.Errorf("%s takes %v", path, median)
		}
	}
}
