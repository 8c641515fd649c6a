package page

import (
	"math"
	"net/url"
	"strconv"
	"time"

	"mastworth/api/chart"
	"mastworth/openapi"
)

// Harvest is what the page about promise and harvest shows.
type Harvest struct {
	ID, Site    string
	Here        string // the address of the same comparison
	Lead, Words string
	Numbers     []Pair
	Chart       *RecordChart
	ByMonth     bool // the chart and its table are by month, as the periods are many
	Periods     []HarvestRow
	Fewer       int // periods that are not listed
	Doubts      []Pair
	Warnings    []string
	Provenance  []openapi.Provenance
	Hubs        []Choice // masts to hold it against; nothing where there is one
	Records     []Choice // that may tell how windy the time was
	Older       string   // that there are older records than these; or nothing
	Form        HarvestForm
	Readings    []ReadingRow
	More        string // address of the next readings; or nothing
}

// HarvestRow is a period in words.
type HarvestRow struct{ Name, Measured, Promised, Windiness, Corrected, Ratio, Note string }

// ReadingRow is a reading in words.
type ReadingRow struct{ ID, When, From, KWh, Kind string }

// HarvestForm is what was put into the form that adds a reading, and what is wrong with it by field: "date", "hour", "from", "kwh", "file",
// or "" for what has no field.
type HarvestForm struct {
	Kind, Date, Hour, From, KWh string
	Faults                      map[string]string
	FileFaults                  []string
}

// Fault is what is wrong with a field; nothing for one that is right.
func (f HarvestForm) Fault(field string) string { return f.Faults[field] }

// mostPeriods is how many periods a page lists and a chart draws one by one.
const mostPeriods = 24

// NewHarvest puts a comparison into words. query is what the addresses of the chart's files need, with its question mark; or nothing.
func NewHarvest(id, site string, h *openapi.Harvest, query string, u Units) (Harvest, error) {
	if site == "" {
		site = Text("sites.no_name")
	}
	out := Harvest{ID: id, Site: site, Lead: Text("harvest.lead." + string(h.Answer)), ByMonth: len(h.Periods) > mostPeriods, Provenance: h.Provenance}
	t := &h.Promised
	words := "harvest.plain"
	if h.ByWind {
		t, words = &h.Corrected, "harvest.windy"
	}
	if h.Answer != openapi.HarvestAnswerTooEarly && t.Ratio != nil && t.AllowedLow != nil && t.AllowedHigh != nil {
		out.Words = Text(words, wholePerCent(*t.Ratio), Number(t.Days, 0), Number(100**t.AllowedLow, 0), wholePerCent(*t.AllowedHigh))
	}
	if out.Words != "" && !h.ByWind {
		out.Words += " " + recordWords(h)
	}
	if h.Vague {
		out.Lead = Text("harvest.lead.vague")
	}
	if h.Answer != openapi.HarvestAnswerTooEarly && h.CurveFactor != nil && h.CurveStandardUncertainty != nil {
		out.Words += " " + Text("harvest.curve", wholePerCent(*h.CurveFactor), wholePerCent(2**h.CurveStandardUncertainty))
	}
	out.numbers(h)
	listed := h.Periods
	if out.ByMonth {
		listed = h.Months
		for _, p := range h.Periods { // what is left out is in no month
			if p.LeftOut != nil {
				listed = append(listed, p)
			}
		}
	}
	if out.Fewer = len(listed) - mostListed; out.Fewer > 0 {
		listed = listed[out.Fewer:]
	}
	for i := range listed {
		out.Periods = append(out.Periods, harvestRow(&listed[i]))
	}
	for _, p := range t.Parts {
		if len(out.Numbers) == 0 {
			break // of no time at all, none of it means anything
		}
		out.Doubts = append(out.Doubts, Pair{Text("harvest.part." + string(p.Name)), wholePerCent(p.StandardUncertainty)})
	}
	for _, w := range h.Warnings {
		out.Warnings = append(out.Warnings, u.sentence(w.Detail))
	}
	var err error
	out.Chart, err = DrawRecordChart(HarvestChart(h), "/sites/"+id+"/harvest/", query, 720, 400)
	if out.Chart != nil {
		out.Chart.NoTable = true
	}
	return out, err
}

// recordWords say why the wind of the time does not count.
func recordWords(h *openapi.Harvest) string {
	switch days := h.Corrected.Days; {
	case days == 0:
		return Text("harvest.no_record")
	case days < harvestDays:
		return Text("harvest.little_record", Number(days, 0))
	default:
		return Text("harvest.less_record", Number(days, 0))
	}
}

// harvestDays is how many days must be known before anything is said of them, as the contract has it.
const harvestDays = 60

// mostListed is how many rows the table of periods has: ten years of months.
const mostListed = 120

// wholePerCent writes a share in per cent.
func wholePerCent(share float64) string { return Number(100*share, 0) + "\u202f%" }

func (p *Harvest) numbers(h *openapi.Harvest) {
	add := func(key, value string) { p.Numbers = append(p.Numbers, Pair{Text(key), value}) }
	if h.Promised.Days == 0 {
		return
	}
	add("harvest.days", Number(h.Promised.Days, 0))
	add("harvest.measured", kWhWords(h.Promised.MeasuredKWh))
	add("harvest.promised", kWhWords(h.Promised.ExpectedKWh))
	if r := h.Promised.Ratio; r != nil {
		add("harvest.of_promise", wholePerCent(*r))
	}
	if h.Corrected.Days > 0 && h.Corrected.Ratio != nil {
		add("harvest.days_covered", Number(h.Corrected.Days, 0))
		add("harvest.corrected", kWhWords(h.Corrected.ExpectedKWh))
		add("harvest.measured_then", kWhWords(h.Corrected.MeasuredKWh))
		add("harvest.of_corrected", wholePerCent(*h.Corrected.Ratio))
	}
}

func kWhWords(v float64) string {
	decimals := 0
	if math.Abs(v) < 100 {
		decimals = 1
	}
	return Number(v, decimals) + "\u202fkWh"
}

func harvestRow(p *openapi.HarvestPeriod) HarvestRow {
	one := func(v float64) string { return Number(v, 1) }
	out := HarvestRow{Name: p.Name, Measured: one(p.MeasuredKWh), Promised: one(p.PromisedKWh), Windiness: unknown, Corrected: unknown, Ratio: unknown}
	expected := p.PromisedKWh
	if p.CorrectedKWh != nil {
		expected = *p.CorrectedKWh
		out.Corrected = one(expected)
	}
	if p.Windiness != nil {
		out.Windiness = wholePerCent(*p.Windiness)
		if p.CoveredShare < 0.995 {
			out.Note = Text("harvest.covered", wholePerCent(p.CoveredShare))
		}
	}
	if expected > 0 {
		out.Ratio = wholePerCent(p.MeasuredKWh / expected)
	}
	if p.LeftOut != nil {
		out.Note, out.Ratio = Text("harvest.left_out."+*p.LeftOut), unknown
	}
	return out
}

// HarvestChart draws the meter beside the promise: period by period, or by month where those are many.
func HarvestChart(h *openapi.Harvest) chart.Chart {
	periods := h.Periods
	if len(periods) > mostPeriods {
		periods = h.Months
	}
	var d chart.Harvest
	corrected := false
	for i := range periods {
		p := &periods[i]
		if p.LeftOut != nil {
			continue
		}
		d.Periods = append(d.Periods, shortName(p))
		d.EstimatedKWh, d.MeteredKWh = append(d.EstimatedKWh, p.PromisedKWh), append(d.MeteredKWh, p.MeasuredKWh)
		d.CorrectedKWh = append(d.CorrectedKWh, orNaN(p.CorrectedKWh))
		corrected = corrected || p.CorrectedKWh != nil
	}
	if !corrected {
		d.CorrectedKWh = nil
	}
	return chart.PromiseHarvest(d)
}

// shortName names a period below its bars: a month by itself, a longer one by the months it spans, a shorter one by the day on which it ended.
func shortName(p *openapi.HarvestPeriod) string {
	const month = 30 * 24 * time.Hour
	length := p.To.Sub(p.From)
	if d := (length - month).Abs(); d <= 3*24*time.Hour {
		return p.From.Add(length / 2).Format("2006-01")
	}
	if length < month {
		return p.To.Format(time.DateOnly)
	}
	from, to := p.From.Add(12*time.Hour), p.To.Add(-12*time.Hour) // it ends where another month begins
	if from.Year() == to.Year() {
		return from.Format("2006-01") + " – " + to.Format("01")
	}
	return from.Format("2006-01") + " – " + to.Format("2006-01")
}

// NewReadingRow puts a reading into words, by local standard time.
func NewReadingRow(r *openapi.Reading, utcOffsetS int64) ReadingRow {
	clock := time.FixedZone("", int(utcOffsetS))
	out := ReadingRow{ID: r.ID, When: r.Time.In(clock).Format("2006-01-02 15:04"), From: unknown, Kind: Text("harvest.kind.energy")}
	if r.From != nil {
		out.From = r.From.In(clock).Format("2006-01-02 15:04")
	}
	v := r.EnergyKWh
	if r.MeterKWh != nil {
		v, out.Kind = r.MeterKWh, Text("harvest.kind.meter")
	}
	out.KWh = strconv.FormatFloat(orNaN(v), 'f', -1, 64)
	return out
}

// HarvestQuery is what an address needs to show the same comparison: the height and record that were asked for.
func HarvestQuery(hub, record string) string {
	v := url.Values{}
	if hub != "" {
		v.Set("hub_height_m", hub)
	}
	if record != "" {
		v.Set("record", record)
	}
	if len(v) == 0 {
		return ""
	}
	return "?" + v.Encode()
}

// HubChoices are the masts of a request to choose from, where they are listed and more than one.
func HubChoices(t openapi.Towers, chosenM float64, u Units) []Choice {
	if len(t.List) < 2 {
		return nil
	}
	var out []Choice
	for _, tower := range t.List {
		out = append(out, Choice{Value: strconv.FormatFloat(tower.HubHeightM, 'f', -1, 64), Words: u.length(&tower.HubHeightM), Chosen: tower.HubHeightM == chosenM})
	}
	return out
}
