package page

import (
	"fmt"
	"strconv"
	"time"

	"mastworth/openapi"
)

// ResultSite is the site a result is of.
type ResultSite struct {
	ID, Name string
	Updated  time.Time
	CurveID  string // of a kept curve it uses; or nothing
	RecordID string // of the record its wind is from; or nothing
	Showing  *Showing
	Edit     string // address where the request is changed; or nothing
	Harvest  string // address where meter readings are; or nothing
}

// Result is what a saved site's page shows of its estimate.
type Result struct {
	ResultSite
	Place, Day, Version string
	Answer, Lead        string // the verdict's word on the wire, and a sentence with the odds
	Numbers             []ResultNumber
	Reasons             []string
	Changes, Unmoved    []string // what would turn the verdict, and what would not within reason
	First               []string // warnings without which the verdict must not be read
	ChangesNote         string   // that none of them is enough; or nothing
	NextStep            string
	Measuring           Table
	MeasuringRule       string
	Sections            []ResultSection
	Warnings            []string // that concern no section
	Cautions            []string
	Provenance          Table
	Adjust              *Adjust // nil where there is nothing to move
	Report              bool    // for paper
	Fault               string  // of the form that deletes it; or nothing
	Query               string  // what addresses need for the same units, with its question mark; or nothing
}

// ResultNumber is one of the chief numbers.
type ResultNumber struct{ Key, Name, Value, Note string }

// ResultSection is a part of the page about one thing. Without content it is left out.
type ResultSection struct {
	ID, Title       string
	Words, Warnings []string
	Notes           []string // that need no minding
	Charts          []*RecordChart
	Tables          []Table
	Links           []ResultLink
}

// ResultLink is an address with its words.
type ResultLink struct{ Address, Words string }

// Table is a table in words; nothing where it has no rows.
type Table struct {
	Caption string
	Head    []string
	Rows    [][]string
	Long    bool // closed until it is asked for, on a page
	Wordy   bool // its cells are words more than numbers
}

// NewResult puts an estimate into words and pictures, in the units wanted.
func NewResult(site ResultSite, of *openapi.Estimate, u Units) (*Result, error) {
	e := shownEstimate{of, u}
	site.Name = siteName(site.Name)
	r := &Result{ResultSite: site, Query: u.Query(), Day: Day(site.Updated), Version: e.Version, Answer: string(e.Verdict.Answer), Adjust: adjustOf(site.ID, e)}
	r.Place = exactPlace(e.Request.Site.Latitude, e.Request.Site.Longitude)
	cur := units(e).Currency
	best := bestOf(e)
	r.Lead = leadOf(e.Verdict.Answer, best)
	for i := range e.Verdict.Reasons {
		r.Reasons = append(r.Reasons, e.sentence(e.Verdict.Reasons[i].Detail))
	}
	if best != nil {
		r.Numbers = resultNumbers(e, best, cur)
	}
	r.changes(e, cur)
	r.Sections = []ResultSection{heightSection(e, cur), monthSection(), splitSection(e, cur), windSection(e, best), speedSection(e),
		lossSection(e, best), doubtSection(e), cashSection(e, cur), surroundingsSection(e, best), extremeSection(e), machineSection(e)}
	r.link("wind", "/records/", r.inUnits(site.RecordID), "result.see_record")
	r.link("machine", "/curves/", r.inUnits(site.CurveID), "result.see_curve")
	r.link("cash", site.Harvest, "", "result.see_harvest")
	if err := r.draw(e); err != nil {
		return nil, err
	}
	r.warn(e)
	kept := r.Sections[:0]
	for _, s := range r.Sections {
		if len(s.Words)+len(s.Warnings)+len(s.Notes)+len(s.Charts)+len(s.Tables) > 0 {
			kept = append(kept, s)
		}
	}
	r.Sections = kept
	for i := range e.Cautions {
		r.Cautions = append(r.Cautions, e.sentence(e.Cautions[i].Text))
	}
	r.Provenance = Table{Caption: Text("result.provenance"), Wordy: true, Head: []string{Text("result.what"), Text("result.method"), Text("result.source")}}
	for _, p := range e.Provenance {
		r.Provenance.Rows = append(r.Provenance.Rows, []string{provenanceWords(p.What), e.words(p.Method), e.words(p.Source)})
	}
	return r, nil
}

// provenanceWords are what a number that has a source is called; one of a newer estimate than this page's words stays as the document
// has it.
func provenanceWords(what string) string {
	words, err := text("provenance." + what)
	if err != nil {
		return what
	}
	return words
}

// drawnWidth is how wide, in px, the charts of pages are that have no room to spare: a telephone shows them as they are drawn, so that their
// texts are legible there, and where there is more room the style sheet enlarges them.
const drawnWidth = 340

// drawn says which charts stand in which section, and how high, px.
var drawn = []struct {
	section, chart string
	height         int
}{
	{"heights", "energy-by-height", 270}, {"heights", "cost-by-height", 270}, {"months", "months", 240}, {"wind", "wind-rose", 360}, {"wind", "energy-rose", 360},
	{"speeds", "speeds", 290}, {"speeds", "energy-by-speed", 320}, {"losses", "losses", 260}, {"doubts", "sensitivities", 380}, {"cash", "cash", 250},
	{"surroundings", "site-plan", 380}, {"machine", "power-curves", 260},
}

// draw puts the charts into their sections.
func (r *Result) draw(e shownEstimate) error {
	for _, d := range drawn {
		c, ok := ResultChart(e.Estimate, e.Units, d.chart)
		if !ok {
			continue
		}
		part, err := DrawRecordChart(c, "/sites/"+r.ID+"/charts/", r.Query, drawnWidth, d.height)
		if err != nil {
			return fmt.Errorf("the result's page: %w", err)
		}
		if s := r.section(d.section); part != nil && s != nil {
			s.Charts = append(s.Charts, part)
		}
	}
	return nil
}

// link puts an address into a section, where there is one.
func (r *Result) link(section, base, id, words string) {
	if s := r.section(section); s != nil && base != "" && (id != "" || base[len(base)-1] != '/') {
		s.Links = append(s.Links, ResultLink{base + id, Text(words)})
	}
}

// inUnits is an id with what its address needs for the page's units; nothing stays nothing.
func (r *Result) inUnits(id string) string {
	if id == "" {
		return ""
	}
	return id + r.Query
}

func (r *Result) section(id string) *ResultSection {
	for i := range r.Sections {
		if r.Sections[i].ID == id {
			return &r.Sections[i]
		}
	}
	return nil
}

// leadOf is the verdict in a sentence with the odds, where there are any.
func leadOf(answer openapi.VerdictAnswer, best *openapi.HeightEstimate) string {
	words := wordsFor("club.lead.", string(answer))
	if answer != openapi.VerdictAnswerCannotSay && best != nil && best.Odds != nil && best.Odds.BelowBoth != nil {
		words += " " + Text("club.lead.chance", perCent(&best.Odds.BelowBoth.Share))
	}
	return words
}

// The chief numbers' keys, which the script finds them by.
const (
	numberHeight = "height"
	numberEnergy = "energy"
	numberFactor = "factor"
	numberCost   = "cost"
	numberSolar  = "solar"
	numberPrice  = "price"
	numberWind   = "wind"
	numberArray  = "array"
	numberMoney  = "capital"
)

func resultNumbers(e shownEstimate, best *openapi.HeightEstimate, cur string) (all []ResultNumber) {
	add := func(key, name, value, note string) {
		if value != unknown {
			all = append(all, ResultNumber{key, Text(name), value, note})
		}
	}
	add(numberHeight, "result.best_height", e.length(&best.HubHeightM), "")
	energyNote, costNote := "", ""
	if o := best.Odds; o != nil && o.Life.EnergyKWh != nil {
		energyNote = Text("result.p50_p90", three(o.Life.EnergyKWh.P50), three(o.Life.EnergyKWh.P90))
	}
	if o := best.Odds; o != nil && o.Life.CostPerKWh != nil {
		costNote = Text("result.from_to", three(o.Life.CostPerKWh.Symmetric95.Low), three(o.Life.CostPerKWh.Symmetric95.High))
	}
	add(numberEnergy, "result.net_energy", unit(three(best.Energy.NetKWh), "kWh"), energyNote)
	add(numberFactor, "result.capacity_factor", share(best.Energy.CapacityFactor), "")
	add(numberCost, "result.cost_kwh", money(best.Cost.PerKWh, cur), costNote)
	add(numberSolar, "result.solar_kwh", money(best.Solar.PerKWh, cur), "")
	add(numberPrice, "result.price_kwh", money(e.Request.Money.PricePerKWh, cur), "")
	add(numberWind, "result.mean_wind", e.speed(best.Wind.MeanSpeedMS), "")
	if best.Solar.ArrayKW != nil {
		add(numberArray, "result.solar_same_money", unit(three(best.Solar.ArrayKW), "kW"), unit(three(best.Solar.AnnualKWh), "kWh")+" "+Text("result.a_year"))
	}
	add(numberMoney, "result.capital", money(best.Cost.Capital, cur), "")
	return all
}

// changesNote says so where wind must become cheaper than two things, and nothing within reason brings it below one of them.
func changesNote(all []openapi.BreakEven) string {
	behind, reached := map[openapi.BreakEvenRival]bool{}, map[openapi.BreakEvenRival]bool{}
	for i := range all {
		b := &all[i]
		behind[b.Rival] = behind[b.Rival] || !b.WindCheaperNow
		reached[b.Rival] = reached[b.Rival] || b.Value != nil
	}
	array, worth := openapi.BreakEvenRivalSolar, openapi.BreakEvenRivalPrice
	switch {
	case behind[array] && !reached[array] && reached[worth]:
		return Text("result.changes_not_array")
	case behind[worth] && !reached[worth] && reached[array]:
		return Text("result.changes_not_worth")
	}
	return ""
}

// changes fills in what would turn the verdict, and what to do next.
func (r *Result) changes(e shownEstimate, cur string) {
	d := &e.Decision
	for i := range d.BreakEvens {
		b := &d.BreakEvens[i]
		words := b.Words
		if b.Unit == "m/s" {
			words = e.exactly(words, "%.3g", b.Value, b.Now, &b.Lowest, &b.Highest)
		}
		if b.Value != nil {
			r.Changes = append(r.Changes, e.sentence(words))
		} else {
			r.Unmoved = append(r.Unmoved, e.sentence(words))
		}
	}
	r.ChangesNote = changesNote(d.BreakEvens)
	if d.NextStep != nil {
		r.NextStep = e.sentence(d.NextStep.Words)
	}
	m := d.Measuring
	if m == nil {
		return
	}
	r.MeasuringRule = sentence(m.Rule)
	r.Measuring = Table{Caption: Text("result.measuring"), Head: []string{Text("result.months"), Text("result.known_to"), Text("result.turns"), amount("result.worth", cur)},
		Rows: [][]string{{"0", share(&m.SpeedStandardUncertainty), unknown, unknown}}}
	for i := range m.Campaigns {
		c := &m.Campaigns[i]
		r.Measuring.Rows = append(r.Measuring.Rows, []string{strconv.Itoa(c.Months), share(&c.SpeedStandardUncertaintyAfter), perCent(&c.FlipChance), amountOf(c.NetOfCost)})
	}
}

// amountOf is an amount of money for a table: what rounds to nothing is nothing.
func amountOf(v float64) string {
	if v > -0.5 && v < 0.5 {
		return Number(0, 0)
	}
	return three(&v)
}

// amount is a column's head with a unit behind it.
func amount(key, unit string) string {
	if unit == "" {
		return Text(key)
	}
	return Text(key) + ", " + unit
}

// share is a share in per cent.
func share(v *float64) string {
	if v == nil {
		return unknown
	}
	decimals := 0
	if p := 100 * *v; p != 0 && p < 9.95 && p > -9.95 {
		decimals = 1
	}
	return unit(Number(100**v, decimals), "%")
}
