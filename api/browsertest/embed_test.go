package browsertest

import (
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"mastworth/deploy/running"
)

// website is a page of somebody else's, which frames an address.
func website(t *testing.T, framed *atomic.Value) *httptest.Server {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		at, _ := framed.Load().(string)
		_, _ = io.WriteString(w, `<!DOCTYPE html><title>A club</title><h1>A club</h1><iframe width="600" height="400" src="`+at+`"></iframe>`)
	}))
	t.Cleanup(s.Close)
	return s
}

// A public site's short page shows on a website that may frame it, and on no other; the same websites' scripts may read the board.
func TestEmbedding(t *testing.T) {
	var framed atomic.Value
	allowed, other := website(t, &framed), website(t, &framed)
	i := demo(t, "--club-frames="+allowed.URL, "--club-origins="+allowed.URL)
	id := showInClub(t, i)
	framed.Store(i.Base + "/club/sites/" + id + "/embed")
	for _, c := range []struct {
		name   string
		origin string
		may    bool
	}{{"allowed", allowed.URL, true}, {"another", other.URL, false}} {
		t.Run(c.name, func(t *testing.T) {
			page := tab(t, 1280, 900)
			do(t, page, chromedp.Navigate(c.origin), until(`document.readyState === "complete"`))
			frame := frameOf(t, page)
			if shown := strings.HasPrefix(frame.URL, i.Base); shown != c.may {
				t.Errorf("the frame shows %s", frame.URL)
			}
			for _, path := range []string{"/v1/club/board", "/v1/club/sites/" + id} {
				read := value[string](t, page, `fetch(`+quoted(i.Base+path)+`)
					.then((r) => r.json()).then((b) => JSON.stringify(b)).catch((e) => e.name)`)
				if c.may != strings.Contains(read, "Orchard End") || !c.may && read != "TypeError" {
					t.Errorf("a script reads of %s: %.200s", path, read)
				}
			}
		})
	}
	t.Run("inside", func(t *testing.T) { // the picture shows what the short page says
		page := tab(t, 1280, 900)
		do(t, page, chromedp.Navigate(i.Base+"/club/sites/"+id+"/embed"))
		text := spaced(value[string](t, page, `document.body.innerText`))
		if !strings.Contains(text, "Orchard End") || !strings.Contains(text, "By this estimate") || !strings.Contains(text, "kWh") {
			t.Errorf("the short page says %q", text)
		}
	})
	t.Run("the whole page", func(t *testing.T) { // is framed by nobody
		framed.Store(i.Base + "/club/sites/" + id)
		page := tab(t, 1280, 900)
		do(t, page, chromedp.Navigate(allowed.URL), until(`document.readyState === "complete"`))
		if frame := frameOf(t, page); strings.HasPrefix(frame.URL, i.Base) {
			t.Errorf("the frame shows %s", frame.URL)
		}
	})
}

// showInClub shows the demo's site, worked out, and gives its id.
func showInClub(t *testing.T, i *running.Instance) string {
	t.Helper()
	id := siteIDs(t, i)[0]
	get(t, i.Base+"/v1/sites/"+id+"/estimate", new(estimate))
	send(t, http.MethodPut, i.Base+"/v1/sites/"+id+"/club", "application/json", strings.NewReader(`{"public": true}`), nil)
	return id
}

// frameOf is the only frame of a page: where it was refused, it shows the browser's own page of an error.
func frameOf(t *testing.T, page context.Context) *cdp.Frame {
	t.Helper()
	tree, err := chromedp.Call(page, cdppage.GetFrameTree, cdp.Empty{})
	if err != nil {
		t.Fatal(err)
	}
	if len(tree.FrameTree.ChildFrames) != 1 {
		t.Fatalf("%d frames", len(tree.FrameTree.ChildFrames))
	}
	return tree.FrameTree.ChildFrames[0].Frame
}
