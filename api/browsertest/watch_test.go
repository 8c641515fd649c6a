package browsertest

import (
	"context"
	"fmt"
	"net/url"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// traffic is what a tab asked for and complained of.
type traffic struct {
	mu     sync.Mutex
	base   string
	faults []string
	bytes  map[network.RequestID]float64
}

// watch listens to a tab from now on: base is where all it asks for has to come from.
func watch(t *testing.T, tab context.Context, base string) *traffic {
	t.Helper()
	w := &traffic{base: base, bytes: map[network.RequestID]float64{}}
	if err := chromedp.Listen(tab, w.hear); err != nil {
		t.Fatal(err)
	}
	return w
}

func (w *traffic) hear(event any) {
	w.mu.Lock()
	defer w.mu.Unlock()
	fault := func(format string, values ...any) { w.faults = append(w.faults, fmt.Sprintf(format, values...)) }
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		if u, err := url.Parse(e.Request.URL); err != nil || u.Scheme != "data" && !strings.HasPrefix(e.Request.URL, w.base+"/") {
			fault("asks for %s, which is not the service's", e.Request.URL)
		}
	case *network.EventResponseReceived:
		if e.Response.Status >= 400 && e.Type != network.ResourceTypeDocument { // the page of a problem is a document of that status
			fault("%s is answered by %d", e.Response.URL, e.Response.Status)
		}
	case *network.EventLoadingFinished:
		w.bytes[e.RequestID] = e.EncodedDataLength
	case *network.EventLoadingFailed:
		if !e.Canceled {
			fault("a request failed: %s", e.ErrorText)
		}
	case *runtime.EventExceptionThrown:
		fault("a script failed: %s", e.ExceptionDetails.Text)
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeAssert {
			fault("the console has an error of a script's")
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError && !strings.HasSuffix(e.Entry.URL, "/no-such-page") {
			fault("the console has: %s %s", e.Entry.Text, e.Entry.URL)
		}
	}
}

// weight is how much came, and faults what was wrong.
func (w *traffic) weight() (bytes float64, faults []string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, b := range w.bytes {
		bytes += b
	}
	return bytes, w.faults
}
