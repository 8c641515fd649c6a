// Package browsertest tries the pages in a real browser, as whoever builds a turbine would, with the built program behind them.
//
// It needs Debian's chromium, and skips without; axe-core, whose axe.min.js MASTWORTH_TEST_AXE names; and the shared data beside
// the checkout. Where CI is set, what is absent is a failure. MASTWORTH_TEST_SCREENSHOTS names a folder for pictures of every page.
package browsertest

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"mastworth/deploy/running"
)

// The browser is started once; each test has tabs of its own, in a profile of its own.
var (
	launched sync.Once
	chromium context.Context
	quit     = func() {}
)

func TestMain(m *testing.M) {
	code := m.Run()
	quit()
	if err := running.CleanUp(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = max(code, 1)
	}
	os.Exit(code)
}

// absent skips a test for want of something, or fails it where nothing may be skipped.
func absent(t *testing.T, format string, values ...any) {
	t.Helper()
	if os.Getenv("CI") != "" {
		t.Fatalf(format, values...)
	}
	t.Skipf(format, values...)
}

// tab opens a tab with nothing kept from others. It is closed, and whatever runs in it ended, with the test or after a minute.
func tab(t *testing.T, width, height int) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		absent(t, "there is no chromium: %v", err)
	}
	launched.Do(func() {
		allocator, release := chromedp.NewExecAllocator(context.Background(), append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
			chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))...)
		first, leave := chromedp.NewContext(allocator)
		if err = chromedp.Do(first); err == nil {
			chromium = first
		}
		quit = func() { leave(); release() }
	})
	if chromium == nil {
		t.Fatalf("chromium does not start: %v", err)
	}
	ctx, closeTab := chromedp.NewContext(chromium, chromedp.WithNewBrowserContext())
	t.Cleanup(closeTab)
	ctx, stop := context.WithTimeout(ctx, time.Minute)
	t.Cleanup(stop)
	do(t, ctx, chromedp.EmulateViewport(int64(width), int64(height)))
	return ctx
}

// step is what a hand or an eye does in a tab.
type step = chromedp.Action[chromedp.Void]

// do runs steps in a tab; the test ends if one fails.
func do(t *testing.T, tab context.Context, steps ...step) {
	t.Helper()
	if err := chromedp.Do(tab, steps...); err != nil {
		at, _ := chromedp.Run(tab, chromedp.Location()) // for what is said below
		text, _ := chromedp.Run(tab, chromedp.Evaluate[string](`document.body.innerText`))
		t.Fatalf("%v\nat %s: %.800s", err, at, text)
	}
}

// value is what an expression of the page's gives; a promise is waited for.
func value[T any](t *testing.T, tab context.Context, expression string) T {
	t.Helper()
	out, err := chromedp.Run(tab, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%.300s: %v", expression, err)
	}
	return out
}

// run is what an expression does, whatever it gives.
func run(expression string) step { return quietly(chromedp.Evaluate[any](expression)) }

// until waits for an expression to be true.
func until(expression string) step {
	return quietly(chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(15*time.Second)))
}

// quietly leaves out what an action gives.
func quietly[T any](a chromedp.Action[T]) step {
	return func(ctx context.Context, target *chromedp.Target) (chromedp.Void, error) {
		_, err := a(ctx, target)
		return chromedp.Void{}, err
	}
}

// demo starts the service with the invented garden in it.
func demo(t *testing.T, more ...string) *running.Instance {
	t.Helper()
	i, err := running.Try(t, t.TempDir(), append([]string{"serve", "--demo", "--listen", "127.0.0.1:0", "--requests-per-second=0"}, more...)...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { i.Stop(t) })
	for began := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		if len(siteIDs(t, i)) > 0 {
			return i
		}
		if time.Since(began) > 20*time.Second {
			t.Fatal("the demo does not come")
		}
	}
}

// siteIDs are the saved sites, in order.
func siteIDs(t *testing.T, i *running.Instance) (ids []string) {
	t.Helper()
	var list struct {
		Sites []struct {
			ID string `json:"id"`
		} `json:"sites"`
	}
	get(t, i.Base+"/v1/sites", &list)
	for _, s := range list.Sites {
		ids = append(ids, s.ID)
	}
	return ids
}

// get reads JSON.
func get(t *testing.T, url string, into any) {
	t.Helper()
	send(t, http.MethodGet, url, "", nil, into)
}

// send makes a request whose answer is JSON, and takes any but a success as the test's end.
func send(t *testing.T, method, url, media string, body io.Reader, into any) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), method, url, body)
	if err != nil {
		t.Fatal(err)
	}
	if media != "" {
		r.Header.Set("Content-Type", media)
	}
	r.Header.Set("Accept", "application/json")
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode > 299 {
		t.Fatalf("%s %s: %s %v %s", method, url, answer.Status, err, text)
	}
	if into != nil {
		if err := json.Unmarshal(text, into); err != nil {
			t.Fatalf("%s %s: %v", method, url, err)
		}
	}
}

// dataFile is the path of a file of the shared data.
func dataFile(t *testing.T, parts ...string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join(append([]string{"..", "..", "..", "shared", "data"}, parts...)...))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); err != nil {
		absent(t, "the shared data are not there: %v", err)
	}
	return path
}

// quoted is a text as JavaScript has it.
func quoted(text string) string {
	b, err := json.Marshal(text)
	if err != nil {
		panic(err) // a string can be written
	}
	return string(b)
}

// named selects a field by its name.
func named(name string) chromedp.CSS { return chromedp.CSS(`[name=` + quoted(name) + `]`) }

// spaced is a text with the page's narrow and unbroken spaces made plain ones.
func spaced(text string) string {
	return strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(text)
}
