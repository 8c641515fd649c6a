// Package browsertest tries the pages in a real browser, as whoever builds a turbine would, with the built program behind them.
//
// It needs Debian's chromium, and skips without; axe-core, whose axe.min.js MASTWORTH_TEST_AXE names; and the shared data beside
// the checkout. Where CI is set, what is absent is a failure. MASTWORTH_TEST_SCREENSHOTS names a folder for pictures of every page.
package browsertest

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
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
	launched.Do(func() { err = launch(path) })
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

// launch starts the browser: with nothing drawn on a screen, nothing kept, and nothing asked of the network but what the tests ask.
func launch(path string) error {
	flags := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]), chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU)
	for _, name := range []string{"disable-background-networking", "disable-quic", "no-first-run", "disable-component-update",
		"disable-sync"} {
		flags = append(flags, chromedp.Flag(name, true))
	}
	allocator, release := chromedp.NewExecAllocator(context.Background(), flags...)
	first, leave := chromedp.NewContext(allocator)
	quit = func() { leave(); release() }
	if err := chromedp.Do(first); err != nil {
		return err
	}
	chromium = first
	return nil
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

// quoted is a text as JavaScript has it.
func quoted(text string) string {
	b, err := json.Marshal(text)
	if err != nil {
		panic(err) // a string can be written
	}
	return string(b)
}

// click clicks on what a selector finds first.
func click(selector string) step { return chromedp.Click(chromedp.CSS(selector)) }

// field is the expression of a form's field by its name.
func field(name string) string { return "document.querySelector(" + quoted(string(named(name))) + ")" }

// typeInto types a text into a field.
func typeInto(name, text string) step { return chromedp.SendKeys(named(name), text) }

// named selects a field by its name.
func named(name string) chromedp.CSS { return chromedp.CSS(`[name=` + quoted(name) + `]`) }

// spaced is a text with the page's narrow and unbroken spaces made plain ones.
func spaced(text string) string {
	return strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(text)
}
