package page

import (
	"time"

	"mastworth/openapi"
)

// SiteRow is a saved site in a list.
type SiteRow struct {
	ID, Name, Wind, Machine, Towers, Place, Changed string
	Verdict, Chance, Energy                         string // of the kept estimate; dashes where there is none
}

// Sites is the list of saved sites.
type Sites struct {
	Rows  []SiteRow
	More  string // address of the next page; or nothing
	Query string // what addresses of sites need for the same units, with its question mark; or nothing
}

// NewSiteRow puts a saved site into words. The request may be nil, where it cannot be read, and so may the
// outcome, where no estimate is kept.
func NewSiteRow(id, name string, updated time.Time, in *openapi.EstimateRequest, o *openapi.SiteOutcome, u Units) SiteRow {
	r := SiteRow{ID: id, Name: siteName(name), Changed: Day(updated), Wind: unknown, Machine: unknown, Towers: unknown, Place: unknown,
		Verdict: Text("sites.not_yet"), Chance: unknown, Energy: unknown}
	if o != nil {
		r.Verdict, r.Chance, r.Energy = Text("club.verdict."+string(o.Verdict)), perCent(o.Chance), three(o.NetKWh)
		if !o.Current {
			r.Verdict += Text("sites.earlier")
		}
	}
	if in == nil {
		return r
	}
	r.Wind, r.Machine, r.Towers = windWords(&in.Wind, u), machineWords(&in.Turbine), towerWords(&in.Towers, u)
	const step = 0.01
	r.Place = placeWords(&openapi.RoundedPlace{Latitude: in.Site.Latitude, Longitude: in.Site.Longitude, StepDeg: step})
	return r
}

func siteName(name string) string {
	if name == "" {
		return Text("sites.no_name")
	}
	return name
}

func windWords(w *openapi.WindInput, u Units) string {
	switch {
	case w.Record != nil:
		return Text("sites.wind.record")
	case w.Mean != nil:
		return Text("sites.wind.mean", u.speed(&w.Mean.SpeedMS), u.length(&w.Mean.HeightM))
	case w.Weibull != nil:
		return Text("sites.wind.weibull")
	case w.Frequency != nil:
		return Text("sites.wind.frequency")
	}
	return unknown
}

func machineWords(t *openapi.TurbineInput) string {
	if t.Name != nil && *t.Name != "" {
		return *t.Name
	}
	switch {
	case t.Design != nil:
		return Text("sites.machine.design")
	case t.TestLog != nil:
		return Text("sites.machine.log")
	case t.Curve != nil:
		return Text("sites.machine.curve")
	}
	return Text("sites.machine.table")
}

// towerWords are the heights there are, from the lowest to the highest.
func towerWords(t *openapi.Towers, u Units) string {
	if len(t.List) == 0 {
		return Text("sites.towers.rule")
	}
	low, high := t.List[0].HubHeightM, t.List[0].HubHeightM
	for _, one := range t.List {
		low, high = min(low, one.HubHeightM), max(high, one.HubHeightM)
	}
	if low == high {
		return u.length(&low)
	}
	return Text("sites.towers.range", u.length(&low), u.length(&high))
}
