package browsertest

import (
	"context"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"mastworth/deploy/running"
)

// lookAt holds a page that is shown to what every page is held to, at its width and as narrow as a telephone.
func lookAt(t *testing.T, page context.Context, axe string) {
	t.Helper()
	do(t, page, run(everythingLoads), until(`document.readyState === "complete" && [...document.images].every((i) => i.complete)`))
	for _, fault := range value[[]string](t, page, structure) {
		t.Error(fault)
	}
	do(t, page, chromedp.EmulateViewport(360, 800))
	for _, fault := range value[[]string](t, page, cutOff) {
		t.Errorf("at 360 px: %s", fault)
	}
	do(t, page, chromedp.EmulateViewport(1280, 900))
	audit(t, page, axe, "light")
	do(t, page, colours("dark"))
	audit(t, page, axe, "dark")
	do(t, page, colours("light"))
}

// The guided form with faults in it, which no address shows.
func TestTheFormWithFaults(t *testing.T) {
	axe := axeScript(t)
	i := demo(t)
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/new"), click(`[name="by.wind"][value=mean]`), click(`button[value="add:site.obstacles"]`),
		until(field("site.obstacles[0].name")+` !== null`), typeInto("site.latitude", "north"), typeInto("wind.mean.speed_m_s", "-4"),
		click("button.primary[value=see]"), chromedp.WaitVisible(chromedp.CSS("#faults")))
	lookAt(t, page, axe)
}

// Where keys are asked for, a browser without one is led to a page to sign in, and told when its key is none.
func TestThePagesOfAServiceWithKeys(t *testing.T) {
	axe := axeScript(t)
	i := running.Start(t, filepath.Join(t.TempDir(), "club.db"), "--keys")
	t.Cleanup(func() { i.Stop(t) })
	page := tab(t, 1280, 900)
	do(t, page, chromedp.Navigate(i.Base+"/sites"))
	if at := value[string](t, page, `location.pathname`); at != "/signin" {
		t.Fatalf("it shows %s", at)
	}
	lookAt(t, page, axe)
	do(t, page, chromedp.SendKeys(chromedp.CSS("input[name=key]"), "none"), click("main button"), chromedp.WaitVisible(chromedp.CSS(".fault, [role=alert]")))
	lookAt(t, page, axe)
}

// The files of an export are pages like the others, on a host that serves files only.
func TestExportedPages(t *testing.T) {
	axe := axeScript(t)
	folder := t.TempDir()
	database, files := filepath.Join(folder, "club.db"), filepath.Join(folder, "files")
	i := running.Start(t, database)
	t.Cleanup(func() { i.Stop(t) })
	send(t, http.MethodPut, i.Base+"/v1/sites/"+saveHedge(t, i)+"/club", "application/json", strings.NewReader(`{"public": true, "show_costs": true}`), nil)
	if out, err := running.Command(t, folder, "export", files, "--database", database).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	host := httptest.NewServer(http.FileServer(http.Dir(files)))
	t.Cleanup(host.Close)
	page := tab(t, 1280, 900)
	w := watch(t, page, host.URL)
	do(t, page, chromedp.Navigate(host.URL+"/index.html"))
	lookAt(t, page, axe)
	do(t, page, chromedp.Navigate(value[string](t, page, `document.querySelector("main table a").href`)))
	lookAt(t, page, axe)
	if csv := value[string](t, page, `fetch(document.querySelector('a[href$=".csv"]').href).then((r) => r.text())`); !strings.Contains(csv, "\n") {
		t.Errorf("its chart's numbers are %q", csv)
	}
	_, faults := w.weight()
	for _, fault := range faults {
		t.Error(fault)
	}
}
