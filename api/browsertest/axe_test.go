package browsertest

import (
	"context"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// axeScript is axe-core, the checker of accessibility, as one script; nothing where it is not there and need not be.
func axeScript(t *testing.T) string {
	t.Helper()
	path := os.Getenv("MASTWORTH_TEST_AXE")
	if path == "" {
		const want = "MASTWORTH_TEST_AXE does not name axe.min.js, as `npm install axe-core` brings it"
		if os.Getenv("CI") != "" {
			t.Fatal(want)
		}
		t.Log(want)
		return ""
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// finding is one of axe's.
type finding struct {
	Rule, Impact, Help string
	Where              []string
}

// audit lets axe look at a page as it is; dark, at the colours alone, since nothing else is different.
func audit(t *testing.T, page context.Context, axe, scheme string) {
	t.Helper()
	if axe == "" {
		return
	}
	do(t, page, run("window.axe || (() => {"+axe+"})(); undefined"))
	rules := `{resultTypes: ["violations"]}`
	if scheme == "dark" {
		rules = `{runOnly: ["color-contrast", "link-in-text-block"], resultTypes: ["violations"]}`
	}
	for _, f := range findings(t, page, rules) {
		say := t.Logf
		if f.Impact == "serious" || f.Impact == "critical" {
			say = t.Errorf
		}
		say("%s, %s: %s (%s)\n  %s", scheme, f.Impact, f.Help, f.Rule, strings.Join(f.Where, "\n  "))
	}
}

// findings are what axe finds by rules.
func findings(t *testing.T, page context.Context, rules string) []finding {
	t.Helper()
	return value[[]finding](t, page, `axe.run(document, `+rules+`).then((r) => r.violations.map((v) =>
		({Rule: v.id, Impact: v.impact, Help: v.help,
			Where: v.nodes.slice(0, 4).map((n) => n.target.join(" ") + " " + (n.any[0] ? n.any[0].message : ""))})))`)
}

// Axe, as it is used here, does see what is wrong, so that its silence means something.
func TestAxeSees(t *testing.T) {
	axe := axeScript(t)
	if axe == "" {
		t.SkipNow()
	}
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"), run(axe+"; undefined"), run(`(() => {
		document.querySelector("h1").style.color = "#eee";
		document.querySelector('label[for="f-site-name"]').remove();
	})()`))
	seen := map[string]string{}
	for _, f := range findings(t, page, "{}") {
		seen[f.Rule] = f.Impact
	}
	if seen["color-contrast"] != "serious" || seen["label"] != "critical" {
		t.Errorf("axe finds %v", seen)
	}
}
