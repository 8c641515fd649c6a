package assess

import (
	"errors"
	"strings"
	"testing"

	"mastworth/resource/shelter"
)

// A hub in the eddy of a barn has no answer; the others have theirs, and the one that is left out is told.
func TestATowerInAnEddyIsLeftOut(t *testing.T) {
	r := garden()
	r.Site.Obstacles = []shelter.Obstacle{{Name: "barn", BearingDeg: 225, DistanceM: 12, HeightM: 10, WidthM: 20}}
	r.Towers = []Tower{{HubHeightM: 8, Cost: 300}, {HubHeightM: 18, Cost: 1400}, {HubHeightM: 24, Cost: 2600}}
	e := mustRun(t, r)
	if len(e.Heights) != 2 || e.Heights[0].HubHeightM != 18 || len(e.Request.Towers) != 2 || e.Heights[1].Cost.Capital <= e.Heights[0].Cost.Capital {
		t.Fatalf("%d heights of %v", len(e.Heights), e.Request.Towers)
	}
	told := 0
	for _, w := range e.Warnings {
		if w.Code == "towers_left_out" && strings.Contains(w.Detail, "a hub at 8 m is in the eddy behind barn") {
			told++
		}
	}
	if told != 1 {
		t.Errorf("what is left out is told %d times: %v", told, e.Warnings)
	}
	r.Towers = []Tower{{HubHeightM: 8, Cost: 300}, {HubHeightM: 9.144, Cost: 400}}
	var invalid *InvalidError
	if _, err := Run(r); !errors.As(err, &invalid) || len(invalid.Fields) != 2 || invalid.Fields[0].Location != "towers[0].hub_height_m" ||
		invalid.Fields[1].Location != "towers[1].hub_height_m" || !strings.Contains(invalid.Fields[1].Detail, "and 9.144 m is in it") {
		t.Errorf("with no tower left: %v", err)
	}
}
