package browsertest

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
)

// estimate is what the tests read of the estimate document.
type estimate struct {
	Request map[string]any `json:"request"`
	Best    float64        `json:"best_hub_height_m"`
	Heights []height       `json:"heights"`
	Verdict struct {
		Answer string `json:"answer"`
	} `json:"verdict"`
}

type height struct {
	HubM float64 `json:"hub_height_m"`
	Wind struct {
		Speed float64 `json:"mean_speed_m_s"`
	} `json:"wind"`
	Energy struct {
		Net float64 `json:"net_kwh"`
	} `json:"energy"`
	Cost struct {
		Capital float64 `json:"capital"`
		PerKWh  float64 `json:"per_kwh"`
	} `json:"cost"`
	Solar struct {
		PerKWh float64 `json:"per_kwh"`
	} `json:"solar"`
	Odds struct {
		Both *struct {
			Share float64 `json:"share"`
		} `json:"below_both"`
	} `json:"odds"`
}

// best is what is told of the best height.
func (e *estimate) best(t *testing.T) *height {
	t.Helper()
	for i := range e.Heights {
		if e.Heights[i].HubM == e.Best {
			return &e.Heights[i]
		}
	}
	t.Fatalf("the document has no best height: %+v", e)
	return nil
}

// checkVerdict holds a page's verdict, and the chance in it, to a document's.
func checkVerdict(t *testing.T, shown string, e *estimate) {
	t.Helper()
	lead, known := leads[e.Verdict.Answer]
	if !known || !strings.HasPrefix(shown, lead) {
		t.Errorf("the page says %q, the document %s", shown, e.Verdict.Answer)
	}
	both := e.best(t).Odds.Both
	if both == nil {
		return
	}
	chance := fmt.Sprintf("%.0f %%", 100*both.Share)
	switch {
	case both.Share < 0.01:
		chance = "under 1 %"
	case both.Share > 0.99:
		chance = "over 99 %"
	}
	if !strings.Contains(shown, " is "+chance+".") {
		t.Errorf("the page says %q, the document a chance of %g", shown, both.Share)
	}
}

// checkShown holds a number on a page, of three digits at least, to one of a document.
func checkShown(t *testing.T, what, shown string, want float64) {
	t.Helper()
	digits := strings.Map(func(r rune) rune {
		if r == ' ' {
			return -1
		}
		return r
	}, strings.TrimRight(shown, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ/% "))
	got, err := strconv.ParseFloat(digits, 64)
	if err != nil || math.Abs(got-want) > 0.00501*math.Abs(want) {
		t.Errorf("%s: the page says %q, the document %g", what, shown, want)
	}
}
