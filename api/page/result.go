package page

import (
	"strconv"
	"strings"
	"time"

	"mastworth/openapi"
)

// SiteRow is a saved site in a list.
type SiteRow struct{ ID, Name, Changed string }

// Sites is the list of saved sites.
type Sites struct {
	Rows []SiteRow
	More string // address of the next page; or nothing
}

// NewSiteRow puts a saved site into words.
func NewSiteRow(id, name string, updated time.Time) SiteRow {
	if name == "" {
		name = Text("sites.no_name")
	}
	return SiteRow{id, name, Day(updated)}
}

// Result is what a saved site's page shows of its estimate.
type Result struct {
	ID, Name, Lead               string
	Numbers                      []Pair
	Reasons, Changes             []string
	NextStep                     string
	Heights, Steps, Odds         Table
	Measuring, Split, Home, Cash Table
	SplitWords                   []string
	CashWords                    string
	Charts                       []ResultPicture
	Warnings, Cautions           []string
	Provenance                   Table
	Version                      string
	Report                       bool // for paper
	Updated                      string
}

// ResultPicture is a chart with the address of its files.
type ResultPicture struct {
	ChartPart
	File string // without its end
}

// Table is a table in words; nothing where it has no rows.
type Table struct {
	Caption string
	Head    []string
	Rows    [][]string
}

// NewResult puts an estimate into words and pictures.
func NewResult(id, name string, updated time.Time, e *openapi.Estimate) (Result, error) {
	best := bestOf(e)
	cur := units(e).Currency
	r := Result{ID: id, Name: NewSiteRow(id, name, updated).Name, Updated: Day(updated), Version: e.Version, Lead: Text("club.lead." + string(e.Verdict.Answer))}
	for _, reason := range e.Verdict.Reasons {
		r.Reasons = append(r.Reasons, sentence(reason.Detail))
	}
	if best != nil {
		r.numbers(e, best, cur)
	}
	r.Heights, r.Odds = heightTable(e, cur), oddsTable(e)
	r.decision(e, cur)
	for _, w := range e.Warnings {
		r.Warnings = append(r.Warnings, sentence(w.Detail))
	}
	for i := range e.Heights {
		for _, w := range e.Heights[i].Warnings {
			r.Warnings = append(r.Warnings, Text("result.at_height", metres(&e.Heights[i].HubHeightM), w.Detail))
		}
	}
	for _, c := range e.Cautions {
		r.Cautions = append(r.Cautions, c.Text)
	}
	r.Provenance = Table{Caption: Text("result.provenance"), Head: []string{Text("result.what"), Text("result.method"), Text("result.source")}}
	for _, p := range e.Provenance {
		r.Provenance.Rows = append(r.Provenance.Rows, []string{p.What, p.Method, p.Source})
	}
	for _, c := range resultCharts {
		drawn, ok := ResultChart(e, c.Name)
		if !ok {
			continue
		}
		part, err := chartPart(drawn)
		if err != nil {
			return r, err
		}
		r.Charts = append(r.Charts, ResultPicture{part, "/sites/" + id + "/charts/" + c.Name})
	}
	return r, nil
}

func (r *Result) numbers(e *openapi.Estimate, best *openapi.HeightEstimate, cur string) {
	add := func(key, value string) {
		if value != unknown {
			r.Numbers = append(r.Numbers, Pair{Text(key), value})
		}
	}
	add("result.best_height", metres(&best.HubHeightM))
	add("result.mean_wind", unit(three(best.Wind.MeanSpeedMS), "m/s"))
	add("result.net_energy", unit(three(best.Energy.NetKWh), "kWh"))
	if o := best.Odds; o != nil && o.Life.EnergyKWh != nil {
		add("result.p90", unit(three(o.Life.EnergyKWh.P90), "kWh"))
	}
	add("result.capacity_factor", perCent(best.Energy.CapacityFactor))
	add("result.cost_kwh", money(best.Cost.PerKWh, cur))
	add("result.solar_kwh", money(best.Solar.PerKWh, cur))
	add("result.price_kwh", money(e.Request.Money.PricePerKWh, cur))
	add("result.solar_same_money", unit(three(best.Solar.ArrayKW), "kW")+", "+unit(three(best.Solar.AnnualKWh), "kWh"))
	if o := best.Odds; o != nil && o.BelowBoth != nil {
		add("result.chance", perCent(&o.BelowBoth.Share))
	}
}

func heightTable(e *openapi.Estimate, cur string) Table {
	t := Table{Caption: Text("result.heights"), Head: []string{Text("result.hub"), Text("result.mean_wind") + " m/s", Text("result.net_energy") + " kWh",
		Text("result.capital") + " " + cur, Text("result.cost_kwh") + " " + cur, Text("result.solar_kwh") + " " + cur}}
	for i := range e.Heights {
		h := &e.Heights[i]
		t.Rows = append(t.Rows, []string{metres(&h.HubHeightM), three(h.Wind.MeanSpeedMS), three(h.Energy.NetKWh), three(h.Cost.Capital), three(h.Cost.PerKWh),
			three(h.Solar.PerKWh)})
	}
	return t
}

func oddsTable(e *openapi.Estimate) Table {
	t := Table{Caption: Text("result.odds"), Head: []string{Text("result.hub"), "P50 kWh", "P75 kWh", "P90 kWh", Text("result.below_solar"), Text("result.below_price"),
		Text("result.is_cheapest")}}
	for i := range e.Heights {
		h := &e.Heights[i]
		if h.Odds == nil || h.Odds.Life.EnergyKWh == nil {
			return Table{}
		}
		l := h.Odds.Life.EnergyKWh
		t.Rows = append(t.Rows, []string{metres(&h.HubHeightM), three(l.P50), three(l.P75), three(l.P90), chanceOf(h.Odds.BelowSolar), chanceOf(h.Odds.BelowPrice),
			chanceOf(h.Odds.Cheapest)})
	}
	return t
}

func chanceOf(c *openapi.Chance) string {
	if c == nil {
		return unknown
	}
	return perCent(&c.Share)
}

// decision fills in what helps to decide beside the verdict. An estimate that was kept by an earlier version may have none of it.
func (r *Result) decision(e *openapi.Estimate, cur string) {
	d := &e.Decision
	for i := range d.BreakEvens {
		r.Changes = append(r.Changes, sentence(d.BreakEvens[i].Words))
	}
	if d.NextStep != nil {
		r.NextStep = sentence(d.NextStep.Words)
	}
	r.Steps = Table{Caption: Text("result.steps"), Head: []string{Text("result.hub"), Text("result.extra_cost") + " " + cur, Text("result.extra_energy") + " kWh",
		Text("result.marginal") + " " + cur}}
	for i := range d.Steps {
		s := &d.Steps[i]
		r.Steps.Rows = append(r.Steps.Rows, []string{metres(&s.HubHeightM), three(s.ExtraCostPerYear), three(s.ExtraKWhPerYear), three(s.MarginalPerKWh)})
	}
	if m := d.Measuring; m != nil {
		r.Measuring = Table{Caption: Text("result.measuring"), Head: []string{Text("result.months"), Text("result.known_to"), Text("result.turns"), Text("result.worth") + " " + cur},
			Rows: [][]string{{"0", perCent(&m.SpeedStandardUncertainty), unknown, unknown}}}
		for i := range m.Campaigns {
			c := &m.Campaigns[i]
			r.Measuring.Rows = append(r.Measuring.Rows, []string{strconv.Itoa(c.Months), perCent(&c.SpeedStandardUncertaintyAfter), perCent(&c.FlipChance), three(&c.NetOfCost)})
		}
	}
	r.split(d.Split, cur)
	if c := d.Cash; c != nil {
		r.CashWords = Text("result.cash_words", money(&c.NPV, cur), rateWords(c.IRR), paybackWords(c.PaybackYears))
		r.Cash = Table{Caption: Text("result.cash"), Head: []string{Text("result.year"), "kWh", Text("result.income"), Text("result.running"), Text("result.replaced"), Text("result.net"),
			Text("result.sum"), Text("result.discounted_sum")}}
		for i := range c.Years {
			y := &c.Years[i]
			r.Cash.Rows = append(r.Cash.Rows, []string{strconv.Itoa(y.Year), whole(y.EnergyKWh), whole(y.Income), whole(y.Running), whole(y.Replacement), whole(y.Net),
				whole(y.Cumulative), whole(y.CumulativeDiscounted)})
		}
	}
}

// rateWords are a rate a year, which may be below nothing.
func rateWords(rate *float64) string {
	if rate == nil {
		return Text("result.no_rate")
	}
	return Number(100**rate, 1) + "\u00a0%"
}

func paybackWords(years *float64) string {
	if years == nil {
		return Text("result.never")
	}
	return Text("result.after_years", Number(*years, 1))
}

func whole(v float64) string { return Number(v, 0) }

func (r *Result) split(s *openapi.MoneySplit, cur string) {
	if s == nil {
		return
	}
	tell := func(key string, row *openapi.SplitRow) {
		var parts []string
		if row.HubHeightM != nil && row.Machines > 0 {
			parts = append(parts, Text("result.split_machine", three(&row.Machines), metres(row.HubHeightM), three(&row.WindKWh)))
		}
		if row.SolarKW > 0.005 {
			parts = append(parts, Text("result.split_solar", three(&row.SolarKW), three(&row.SolarKWh)))
		}
		if len(parts) > 0 {
			r.SplitWords = append(r.SplitWords, Text(key, strings.Join(parts, " "+Text("result.and")+" "), money(row.CostPerKWh, cur)))
		}
	}
	if i := s.CheapestRow; i >= 0 && i < len(s.Rows) {
		tell("result.split_cheapest", &s.Rows[i])
	}
	if i := s.MostEvenRow; i >= 0 && i < len(s.Rows) {
		tell("result.split_even", &s.Rows[i])
	}
	if s.AnySizeMostEven != nil {
		tell("result.split_even_any", s.AnySizeMostEven)
	}
	if h := s.Home; h != nil {
		r.Home = Table{Caption: Text("result.home", three(&h.YearlyKWh)), Head: []string{"", Text("result.made") + " kWh", Text("result.used"), Text("result.bought"), Text("result.left_over")}}
		row := func(key string, f *openapi.HomeFlows) {
			made := f.WindKWh + f.SolarKWh
			r.Home.Rows = append(r.Home.Rows, []string{Text(key), three(&made), perCent(f.SelfUsedShare), perCent(f.UnmetShare), perCent(f.SpilledShare)})
		}
		row("result.wind_alone", &h.Wind)
		row("result.solar_alone", &h.Solar)
		if h.Mixed != nil {
			row("result.both", h.Mixed)
		}
	}
}

// sentence makes one of words that were written to be part of one.
func sentence(words string) string {
	if words == "" {
		return ""
	}
	words = strings.ToUpper(words[:1]) + words[1:]
	if strings.HasSuffix(words, ".") {
		return words
	}
	return words + "."
}

// doubtWords are the name of a source of uncertainty for reading.
func doubtWords(name string) string { return strings.ReplaceAll(name, "_", " ") }
