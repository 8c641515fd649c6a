package browsertest

import (
	"context"
	"os"
	"strings"
	"testing"
)

// axeScript is axe-core, the checker of accessibility, as one script.
func axeScript(t *testing.T) string {
	t.Helper()
	path := os.Getenv("MASTWORTH_TEST_AXE")
	if path == "" {
		absent(t, "MASTWORTH_TEST_AXE does not name axe.min.js, as `npm install axe-core` brings it")
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

// audit lets axe look at a page as it is.
func audit(t *testing.T, page context.Context, axe, scheme string) {
	t.Helper()
	do(t, page, run(axe+"; undefined"))
	for _, f := range value[[]finding](t, page, `axe.run(document, {resultTypes: ["violations"]}).then((r) => r.violations.map((v) =>
		({Rule: v.id, Impact: v.impact, Help: v.help, Where: v.nodes.slice(0, 4).map((n) => n.target.join(" ") + " " + (n.any[0] ? n.any[0].message : ""))})))`) {
		say := t.Logf
		if f.Impact == "serious" || f.Impact == "critical" {
			say = t.Errorf
		}
		say("%s, %s: %s (%s)\n  %s", scheme, f.Impact, f.Help, f.Rule, strings.Join(f.Where, "\n  "))
	}
}
