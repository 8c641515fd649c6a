package page

import "testing"

// Pages are parsed when they are first asked for; here they all are.
func TestEveryPageParses(t *testing.T) {
	for name, parsed := range New().pages {
		if parsed().Lookup("frame") == nil {
			t.Errorf("the page %s has no frame", name)
		}
	}
}
