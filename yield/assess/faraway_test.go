package assess

import (
	"strings"
	"testing"

	"github.com/paulmach/orb"
)

// A record from far off says little of a place, and from other weather nothing; what is not said of where it was measured is in doubt too.
func TestRecordsFromFarOff(t *testing.T) {
	yes, no := true, false
	for _, c := range []struct {
		name    string
		degrees float64 // to the north, 111 km each
		here    *bool
		doubt   float64
		words   string
		far     bool // too far for a verdict
	}{
		{"here", 0, &yes, 0, "measured at the site", false},
		{"not said", 0, nil, 0.05, "not said", false},
		{"elsewhere, near", 0.1, &no, 0.05, "another place", false},
		{"100 km away", 0.9, &no, 0.20, "100 km away", false},
		{"2000 km away", 18, &no, 0.20, "2001 km away", true},
	} {
		r := at10m(years(2019, 2, 1, 0.1, 3, 10))
		r.Wind.MeasuredHere = c.here
		place := *r.Wind.Record.Series.Place
		place.Point = orb.Point{r.Site.LongitudeDeg, r.Site.LatitudeDeg - c.degrees}
		r.Wind.Record.Series.Place = &place
		r.Uncertainty.Draws = 200
		e := mustRun(t, r)
		for _, s := range e.Odds.Sources {
			if s.Name == "place" {
				near(t, c.name, s.Standard, c.doubt, 1e-12)
				if !strings.Contains(s.Origin, c.words) {
					t.Errorf("%s: %q", c.name, s.Origin)
				}
			}
		}
		if far := e.Verdict.Reasons[0].Code == "record_too_far"; far != c.far || far != (e.Verdict.Answer == CannotSay) {
			t.Errorf("%s: %s by %s", c.name, e.Verdict.Answer, e.Verdict.Reasons[0].Code)
		}
	}
}
