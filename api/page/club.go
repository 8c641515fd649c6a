package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"
	"time"

	"mastworth/api/chart"
	"mastworth/openapi"
)

// Choice is one of several in a list.
type Choice struct {
	Value, Words string
	Chosen       bool
}

// Club is what the board's page shows.
type Club struct {
	Name, Text       string
	Rows             []ClubRow
	Total            int
	Sifted           bool     // by verdict
	Orders, Verdicts []Choice // empty on a page without a service behind it
	All, More        string   // addresses of the whole board and of its next page; or nothing
	Feed             string   // address
}

// ClubRow is a public site in words.
type ClubRow struct {
	Name, Link, Machine, Verdict, State                      string
	Height, Energy, P90, Cost, Solar, Chance, Place, Changed string
	NotYet, Weak                                             bool
}

// NewClub puts a board into words.
func NewClub(b *openapi.Board, u Units) Club {
	c := Club{Name: b.Name, Text: b.Text, Total: b.Total, Rows: make([]ClubRow, len(b.Sites))}
	if c.Name == "" {
		c.Name = Text("club.title")
	}
	for i := range b.Sites {
		c.Rows[i] = NewClubRow(&b.Sites[i], u)
	}
	return c
}

// Choose fills in what the board may be sorted and sifted by.
func (c *Club) Choose(sort, verdict string) {
	for _, v := range []string{"updated", "name", "energy", "cost", "height"} {
		c.Orders = append(c.Orders, Choice{v, Text("club.sort." + v), v == sort})
	}
	c.Sifted = verdict != ""
	c.Verdicts = []Choice{{"", Text("club.any_verdict"), verdict == ""}}
	for _, v := range []string{"worth_it", "close_call", "not_worth_it", "cannot_say"} {
		c.Verdicts = append(c.Verdicts, Choice{v, Text("club.verdict." + v), v == verdict})
	}
}

// NewClubRow puts a public site into words.
func NewClubRow(s *openapi.BoardSite, u Units) ClubRow {
	r := ClubRow{Name: s.Name, Link: s.PageURL, Machine: s.Machine, Verdict: Text("club.verdict." + string(s.Verdict)), State: Text("club.state." + string(s.State)),
		Height: u.length(s.HubHeightM), Energy: three(s.NetKWh), P90: three(s.NetKWhP90), Cost: money(s.CostPerKWh, s.Currency), Solar: money(s.SolarPerKWh, s.Currency),
		Chance: perCent(s.Chance), Place: unknown, Changed: Day(s.UpdatedAt), NotYet: s.State == openapi.BoardSiteStateNone,
		Weak: s.State == openapi.BoardSiteStateEarlier}
	if r.Name == "" {
		r.Name = Text("club.no_name")
	}
	if s.Place != nil {
		r.Place = placeWords(s.Place)
	}
	return r
}

// Summary is the row in a sentence.
func (r *ClubRow) Summary() string {
	return Text("feed.summary", r.Verdict, unit(r.Energy, "kWh"), r.Height, r.Cost, r.Solar)
}

// PublicSite is what a public site's page shows.
type PublicSite struct {
	Row      ClubRow
	Lead     string // the verdict in a sentence
	Numbers  []Pair
	Charts   []ChartPart
	Cautions []string
	Snippets []Snippet
	NoFrames bool   // no website may show a frame
	Board    string // address
	Card     string // address
	OEmbed   string // address; or nothing
	Page     string // of the whole page, for the short one
	Units
}

// Pair is a thing and its value in words.
type Pair struct{ Name, Value string }

// ChartPart is a chart on a page, with its table.
type ChartPart struct {
	Title string
	Files string // the address of its files, up to the point before svg, png or csv; or nothing
	SVG   template.HTML
	Head  []string
	Rows  [][]string
}

// Snippet is a piece to copy into another website.
type Snippet struct{ ID, Words, Text string }

// NewPublicSite puts a public site into words and pictures. The files of charts lie below the address given.
func NewPublicSite(p *openapi.PublicSite, u Units, files string) (PublicSite, error) {
	s := &p.Site
	out := PublicSite{Row: NewClubRow(s, u), Lead: lead(s), Units: u}
	add := func(key, value string) {
		if value != unknown && value != "" {
			out.Numbers = append(out.Numbers, Pair{Text(key), value})
		}
	}
	add("club.height", out.Row.Height)
	add("club.energy", unit(out.Row.Energy, "kWh"))
	add("club.p90", unit(out.Row.P90, "kWh"))
	add("club.cost", out.Row.Cost)
	add("club.solar", out.Row.Solar)
	add("club.chance", out.Row.Chance)
	add("club.machine", s.Machine)
	add("club.rotor", u.length(p.RotorDiameterM))
	add("club.capital", money(p.Capital, s.Currency))
	add("club.place", out.Row.Place)
	if s.ComputedAt != nil {
		add("club.computed", Day(*s.ComputedAt))
	}
	for _, c := range p.Cautions {
		out.Cautions = append(out.Cautions, sentence(c.Text))
	}
	for _, c := range PublicCharts(p, u) {
		part, err := chartPart(c)
		if err != nil {
			return out, err
		}
		part.Files = files + c.Name
		out.Charts = append(out.Charts, part)
	}
	return out, nil
}

// Shorten leaves of a site what a small frame has room for.
func (p *PublicSite) Shorten() {
	const numbers = 5 // as far as the two costs
	p.Charts, p.Numbers = nil, p.Numbers[:min(numbers, len(p.Numbers))]
}

// lead is the verdict in a sentence.
func lead(s *openapi.BoardSite) string {
	words := Text("club.lead." + string(s.Verdict))
	if s.Chance != nil {
		words += " " + Text("club.lead.chance", perCent(s.Chance))
	}
	return words
}

// PublicCharts are the pictures of a public site that have something to show.
func PublicCharts(p *openapi.PublicSite, u Units) []chart.Chart {
	n := len(p.Heights)
	if n == 0 {
		return nil
	}
	hubs, kWh, low, high, cost := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	costs, ranges := 0, 0
	for i, h := range p.Heights {
		hubs[i], kWh[i], low[i], high[i], cost[i] = h.HubHeightM, orNaN(h.NetKWh), orNaN(h.LowKWh), orNaN(h.HighKWh), orNaN(h.CostPerKWh)
		if h.CostPerKWh != nil {
			costs++
		}
		if h.LowKWh != nil && h.HighKWh != nil {
			ranges++
		}
	}
	if ranges == 0 {
		low, high = nil, nil
	}
	best := orNaN(p.Site.HubHeightM)
	all := []chart.Chart{
		chart.EnergyByHeight(chart.EnergyHeights{HubHeightM: hubs, NetKWh: kWh, LowKWh: low, HighKWh: high, RangeWords: Text("club.range"), BestM: best, Units: u.In("")}),
	}
	if p.WindMonthlyKWh != nil { // the sun's months alone would say nothing of the wind
		all = append(all, chart.Months(chart.MonthEnergy{WindKWh: p.WindMonthlyKWh, SolarKWh: p.SolarMonthlyKWh}))
	}
	if costs > 1 {
		all = append(all, chart.CostByHeight(chart.HeightCosts{HubHeightM: hubs, PerKWh: cost, SolarPerKWh: publicSolar(p), BestM: best, Units: u.In(p.Site.Currency)}))
	}
	some := all[:0]
	for _, c := range all {
		if !c.Empty() {
			some = append(some, c)
		}
	}
	return some
}

// publicSolar is the cost of a kWh of solar by height, of which the best height's alone is public; nil without.
func publicSolar(p *openapi.PublicSite) []float64 {
	if p.Site.SolarPerKWh == nil || p.Site.HubHeightM == nil {
		return nil
	}
	out := make([]float64, len(p.Heights))
	for i := range out {
		if out[i] = math.NaN(); p.Heights[i].HubHeightM == *p.Site.HubHeightM {
			out[i] = *p.Site.SolarPerKWh
		}
	}
	return out
}

// chartPart draws a chart for a page.
func chartPart(c chart.Chart) (ChartPart, error) {
	var b strings.Builder
	if err := c.SVG(&b, chart.Options{Variables: true, Bare: true, Width: drawnWidth, Height: 260}); err != nil {
		return ChartPart{}, fmt.Errorf("a public site's page: %w", err)
	}
	p := ChartPart{Title: c.Title, SVG: template.HTML(b.String())} //nolint:gosec // of our own making; it escapes what is in it
	p.Head, p.Rows = c.Table()
	return p, nil
}

// Showing is what the form has that says whether a site is shown.
type Showing struct {
	SiteID, Name      string // the site's own name
	Public, ShowCosts bool
	ShownAs           string
	Fault             string // about ShownAs; or nothing
	Link              string // of the public page, where it is public
}

// ShowingOf fills the form from a saved site.
func ShowingOf(site *openapi.Site) Showing {
	return Showing{SiteID: site.ID, Name: site.Name, Public: site.Club.Public, ShowCosts: site.Club.ShowCosts, ShownAs: site.Club.ShownAs,
		Link: "/club/sites/" + site.ID}
}

// Day is a date in words.
func Day(t time.Time) string {
	t = t.UTC()
	return Text("date.day", t.Day(), monthWords(int(t.Month())-1), t.Year())
}

func orNaN(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}

// three writes a number with three digits.
func three(v *float64) string {
	if v == nil {
		return unknown
	}
	decimals := 0
	for a := math.Abs(*v); a != 0 && a < 99.95 && decimals < 5; a *= 10 {
		decimals++
	}
	return Number(*v, decimals)
}

func money(v *float64, currency string) string { return unit(three(v), currency) }

// unit puts a unit behind a number that is known.
func unit(number, unit string) string {
	if number == unknown || unit == "" {
		return number
	}
	return number + "\u00a0" + unit
}

func metres(v *float64) string {
	if v == nil {
		return unknown
	}
	decimals := 0
	if *v != math.Round(*v) {
		decimals = 1
	}
	return unit(Number(*v, decimals), "m")
}

// perCent is a chance in words. Draws never make it certain.
func perCent(share *float64) string {
	const most, least = 0.99, 0.01
	switch {
	case share == nil:
		return unknown
	case *share > most:
		return Text("club.chance_over", unit("99", "%"))
	case *share < least:
		return Text("club.chance_under", unit("1", "%"))
	}
	return unit(Number(100**share, 0), "%")
}

// partOf is a share of a whole, such as of a time: what lacks a little is not all, and what there is a little of is not nothing.
func partOf(share *float64) string {
	if share == nil {
		return unknown
	}
	switch p := 100 * *share; {
	case p > 0 && p < 0.05:
		return Text("club.chance_under", unit("0.1", "%"))
	case p > 99.95 && p < 100:
		return Text("club.chance_over", unit("99.9", "%"))
	case p > 0 && p < 9.95 || p > 99 && p < 100:
		return unit(Number(p, 1), "%")
	default:
		return unit(Number(p, 0), "%")
	}
}

// placeWords is a rounded place with as many decimals as its step has.
func placeWords(p *openapi.RoundedPlace) string {
	decimals := 0
	for step := p.StepDeg; decimals < 2 && math.Abs(step-math.Round(step)) > 1e-9; step *= 10 {
		decimals++
	}
	side := func(v float64, positive, negative string) string {
		key := positive
		if v < 0 {
			key = negative
		}
		return Number(math.Abs(v), decimals) + "°\u00a0" + Text(key)
	}
	return side(p.Latitude, "club.north", "club.south") + ", " + side(p.Longitude, "club.east", "club.west")
}
