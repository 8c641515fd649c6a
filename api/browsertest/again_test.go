package browsertest

import (
	"strings"
	"sync/atomic"
	"testing"

	"github.com/chromedp/chromedp"
)

// A page that is looked at again, and has not changed, looks as it did: the browser keeps it, asks whether it still holds, and puts the headers
// of that answer upon what it has.
func TestPagesComeBack(t *testing.T) {
	i := demo(t)
	f := fill(t, i)
	for _, p := range places(t, f) {
		if p.name == "refused" {
			continue
		}
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			page := tab(t, 1280, 900)
			w := watch(t, page, i.Base)
			do(t, page, chromedp.Navigate(i.Base+p.path))
			const looks = `[getComputedStyle(document.body).fontFamily, document.styleSheets.length, document.scripts.length].join(" ")`
			first := value[string](t, page, looks)
			value[float64](t, page, `fetch(location.href, {cache: "no-cache"}).then((r) => r.status)`) // asks, and keeps what it is told
			do(t, page, chromedp.Navigate("about:blank"), chromedp.Navigate(i.Base+p.path))
			if again := value[string](t, page, looks); again != first {
				t.Errorf("it came as %q and comes back as %q", first, again)
			}
			_, faults := w.weight()
			for _, fault := range faults {
				t.Error(fault)
			}
		})
	}
}

// The same holds for what a website frames.
func TestFramesComeBack(t *testing.T) {
	var framed atomic.Value
	club := website(t, &framed)
	i := demo(t, "--club-frames="+club.URL)
	at := i.Base + "/club/sites/" + showInClub(t, i) + "/embed"
	framed.Store(at)
	page := tab(t, 1280, 900)
	for range 2 {
		do(t, page, chromedp.Navigate(club.URL), until(`document.readyState === "complete"`))
		if frame := frameOf(t, page); !strings.HasPrefix(frame.URL, i.Base) {
			t.Fatalf("the frame shows %s", frame.URL)
		}
		do(t, page, chromedp.Navigate(at))
		value[float64](t, page, `fetch(location.href, {cache: "no-cache"}).then((r) => r.status)`)
	}
}
