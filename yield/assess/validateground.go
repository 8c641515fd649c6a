package assess

import (
	"fmt"

	"mastworth/resource/longterm"
	"mastworth/resource/shelter"
	"mastworth/resource/terrain"
)

// Limits of what stands around a mast.
const (
	MaxObstacles     = 400 // a hedge on a map becomes several
	MaxGroundSectors = 36
	MaxReliefs       = 20
)

func validateObstacles(obstacles []shelter.Obstacle, f *faults) {
	if n := len(obstacles); n > MaxObstacles {
		f.add("site.obstacles", "give at most %d obstacles, not %d: only those within some twenty of their heights matter", MaxObstacles, n)
		return
	}
	for i, o := range obstacles {
		for _, fault := range o.Faults() {
			f.add(fmt.Sprintf("site.obstacles[%d].%s", i, fault.Field), "%s", fault.Reason)
		}
	}
}

// validateSectors checks each sector's ground, then how the sectors lie to one another.
func validateSectors(at string, g Ground, f *faults) {
	if n := len(g.Sectors); n > MaxGroundSectors {
		f.add(at, "give at most %d sectors, not %d", MaxGroundSectors, n)
		return
	}
	before := len(*f)
	for i, s := range g.Sectors {
		here := fmt.Sprintf("%s[%d]", at, i)
		validateGround(here, s.Ground, f)
		if s.Beyond == nil {
			continue
		}
		validateGround(here+".beyond", *s.Beyond, f)
		if s.ChangeAtM != s.ChangeAtM {
			f.add(here+".beyond", "is of no use without change_at_m, where it begins; add change_at_m, or drop beyond")
		}
	}
	if len(*f) > before || len(g.Sectors) == 0 {
		return
	}
	for _, fault := range g.physical().Faults() {
		f.add(faultPlace(at, fault), "%s", fault.Reason)
	}
}

// faultPlace is where a fault of a list is: in one of its entries, or in the list as a whole.
func faultPlace(at string, f terrain.Fault) string {
	if f.Index < 0 {
		return at
	}
	at = fmt.Sprintf("%s[%d]", at, f.Index)
	if f.Field != "" {
		at += "." + f.Field
	}
	return at
}

func validateRose(w *Wind, f *faults) {
	const at = "wind.rose"
	if w.Rose == nil {
		return
	}
	if n := len(w.Rose); n != 12 {
		f.add(at, "must have twelve shares, one for every 30 degrees, not %d", n)
		return
	}
	sum := 0.0
	for i, s := range w.Rose {
		f.within(fmt.Sprintf("%s[%d]", at, i), s, 0, 1e6, "")
		sum += s
	}
	if sum == 0 {
		f.add(at, "all shares are 0: say where the wind comes from, or leave the rose out")
	}
}

func validateLongTerm(w *Wind, f *faults) {
	const at = "wind.long_term"
	l := w.LongTerm
	if l == nil {
		return
	}
	if w.Record != nil && l.Reference != nil && l.Reference.Ref == w.Record.Ref && l.Reference.Ref != "" {
		f.add(at+".reference", "is the record itself, which can tell nothing new of the long run; name another one")
	}
	if w.Record == nil {
		f.add(at, "stretches a record of the site, and there is none: add wind.record, or drop long_term")
	}
	switch l.Method {
	case longterm.VarianceRatio, longterm.LeastSquares, longterm.SpeedRatio:
	default:
		f.add(at+".method", "must be variance_ratio, least_squares or speed_ratio, not %q", string(l.Method))
	}
	f.within(at+".max_shift_hours", l.MaxShiftS/3600, 0, 48, "h")
	switch {
	case l.Reference == nil:
		f.add(at+".reference", "name the record to stretch by")
	case l.Reference.Series == nil:
		f.add(at+".reference", "the record %q was not loaded", l.Reference.Ref)
	}
	if l.Reference != nil && l.Reference.HeightM == l.Reference.HeightM {
		f.above(at+".reference.height_m", l.Reference.HeightM, 0, MaxHubHeightM, "m")
	}
}
