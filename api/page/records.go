package page

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"mastworth/openapi"
)

// Records is what the page about wind data shows.
type Records struct {
	Rows      []RecordRow
	More      string // address of the next ones; or nothing
	MayFetch  bool
	Upload    UploadForm
	Place     PlaceForm
	Sources   []SourceRow
	Asked     bool     // whether the sources were asked for
	Cautions  []string // about the sources
	Fetch     FetchForm
	CurvesAt  string
	BalanceAt string
}

// RecordRow is a record in the list.
type RecordRow struct{ Name, Link, Kind, Span, Rows, Step, Heights, Place, Created string }

// NewRecordRows puts records into words.
func NewRecordRows(all []openapi.RecordSummary, u Units) []RecordRow {
	out := make([]RecordRow, len(all))
	for i := range all {
		r := &all[i]
		out[i] = RecordRow{Name: recordName(r.Name), Link: "/records/" + r.ID + u.Query(), Kind: Text("records.kind." + string(r.Kind)),
			Span: daysOf(r), Rows: Number(float64(r.Rows), 0), Step: stepWords(r.StepS), Heights: speedHeights(r.Channels, u),
			Place: unknown, Created: Day(r.CreatedAt)}
		if r.Place != nil {
			out[i].Place = exactPlace(r.Place.Latitude, r.Place.Longitude)
		}
	}
	return out
}

// daysOf are a record's first and last day by its own clock.
func daysOf(r *openapi.RecordSummary) string {
	return spanOf(string(r.Kind), Day(inClock(r.First, r.UTCOffsetS)), Day(inClock(r.Last, r.UTCOffsetS)))
}

// spanOf is the time from the first to the last stamp. A typical year's stamps are nobody's calendar.
func spanOf(kind, first, last string) string {
	if kind == string(openapi.RecordKindTypicalYear) {
		return Text("record.span.typical_year")
	}
	return first + " – " + last
}

// speedHeights are the heights at which a record has speeds.
func speedHeights(channels []openapi.Channel, u Units) string {
	var heights []float64
	for _, c := range channels {
		if c.Quantity == "speed" && c.HeightM != nil {
			heights = append(heights, *c.HeightM)
		}
	}
	if len(heights) == 0 {
		return unknown
	}
	slices.Sort(heights)
	out := make([]string, len(heights))
	for i := range heights {
		out[i] = u.length(&heights[i])
	}
	return strings.Join(out, ", ")
}

// UploadField is a control of the form that takes a file, but for the file itself.
type UploadField struct {
	ID, Name, Label, Note, Value, Fault string
	Lines, Checkbox, Checked            bool
	Choices                             []Choice // of a list
	Number                              bool
}

// UploadForm takes a file.
type UploadForm struct {
	Name      UploadField
	Options   []UploadField
	Open      bool // whether the options are shown
	FileFault string
	Problem   string // what the whole suffers from
}

// uploadChoices are the options with a list of values; the readers' formats are filled in by whoever knows them.
var uploadChoices = map[string][]string{
	"delimiter": {"comma", "semicolon", "tab", "pipe", "space"}, "date_order": {"ymd", "dmy", "mdy"},
	"stamps_at": {"begin", "end", "unknown"}, "speed_unit": {"m/s", "km/h", "mph", "knots", "ft/s"},
}

// UploadOptions are the options the form has, in its order.
var UploadOptions = []string{"format", "column", "only_columns", "only", "header_line", "delimiter", "decimal_comma", "missing", "time_layout", "date_order",
	"stamps_at", "utc_offset", "speed_unit", "default_height_m", "pulse_slope", "pulse_offset", "pulse_interval"}

// UploadLines are the options that take a value a line.
var UploadLines = map[string]bool{"column": true, "only": true, "missing": true}

// NewUploadForm is the form filled in with values, formats being those there are readers for, and with faults by the name of the
// field; "file" is the file's, "" that of the whole.
func NewUploadForm(formats []string, values url.Values, faults map[string]string) UploadForm {
	out := UploadForm{FileFault: plainly(faults["file"]), Problem: plainly(faults[""]), Open: faults["file"] != ""}
	out.Name = UploadField{ID: "upload-name", Name: "name", Label: Text("records.name"), Note: Text("records.name_note"), Value: values.Get("name"),
		Fault: faults["name"]}
	for _, name := range UploadOptions {
		f := UploadField{ID: "upload-" + strings.ReplaceAll(name, "_", "-"), Name: name, Label: Text("records.option." + name), Note: Text("records.note." + name),
			Value: strings.Join(values[name], "\n"), Fault: plainly(faults[name]), Lines: UploadLines[name]}
		list := uploadChoices[name]
		switch name {
		case "format":
			list = formats
		case "only_columns", "decimal_comma":
			f.Checkbox, f.Checked, f.Value = true, f.Value == "true", "true"
		case "default_height_m", "pulse_slope", "pulse_offset", "pulse_interval", "header_line":
			f.Number = true
		}
		if list != nil {
			f.Choices = []Choice{{"", Text("records.guess"), f.Value == ""}}
			for _, v := range list {
				f.Choices = append(f.Choices, Choice{v, choiceWords(name, v), f.Value == v})
			}
		}
		out.Open = out.Open || f.Fault != "" || len(values[name]) > 0
		out.Options = append(out.Options, f)
	}
	return out
}

func choiceWords(option, value string) string {
	if words, ok := catalogue()["records."+option+"."+value]; ok {
		return words
	}
	return value
}

// PlaceForm asks for what there is for a place.
type PlaceForm struct{ Latitude, Longitude string }

// FetchForm asks for a public record.
type FetchForm struct {
	Latitude, Longitude, FromYear, ToYear, Station, Name string
	Sources                                              []Choice
	Faults                                               map[string]string // by field; "" is the whole's
}

// fetchSources are the public sources, those that cover the world first.
var fetchSources = []openapi.FetchInputSource{openapi.FetchInputSourceNasaPower, openapi.FetchInputSourceOpenMeteo, openapi.FetchInputSourceAirportReports,
	openapi.FetchInputSourceIsdLite, openapi.FetchInputSourceIsd, openapi.FetchInputSourceGhcnHourly}

// NewFetchForm fills the form that fetches a record.
func NewFetchForm(v url.Values, faults map[string]string) FetchForm {
	out := FetchForm{Latitude: v.Get("latitude"), Longitude: v.Get("longitude"), FromYear: v.Get("from_year"), ToYear: v.Get("to_year"),
		Station: v.Get("station"), Name: v.Get("name"), Faults: faults}
	for _, s := range fetchSources {
		out.Sources = append(out.Sources, Choice{string(s), sourceWords(string(s)), v.Get("source") == string(s)})
	}
	return out
}

func sourceWords(source string) string {
	if words, ok := catalogue()["records.source."+source]; ok {
		return words
	}
	return source
}

// SourceRow is a public source for a place, in words.
type SourceRow struct{ Name, Data, Years, Heights, Away, Sun, Licence, Reason, Take string }

// NewSourceRows puts sources for a place into words; take makes the address that puts one into the form.
func NewSourceRows(all *openapi.SourceList, latitude, longitude string, u Units) (rows []SourceRow, cautions []string) {
	for i := range all.Sources {
		s := &all.Sources[i]
		r := SourceRow{Name: sourceWords(s.Source), Data: s.Data, Years: strconv.Itoa(s.FromYear) + "–" + strconv.Itoa(s.ToYear), Away: unknown, Licence: s.Licence,
			Reason: s.Reason, Sun: Text("records.no")}
		if s.Name != "" {
			r.Name += ": " + s.Name
		}
		if s.Sun {
			r.Sun = Text("records.yes")
		}
		var heights []string
		for _, h := range s.HeightsM {
			heights = append(heights, u.length(&h))
		}
		r.Heights = strings.Join(heights, ", ")
		r.Away = awayWords(s, u)
		from := max(s.FromYear, s.ToYear-9)
		r.Take = "/records?" + url.Values{"latitude": {latitude}, "longitude": {longitude}, "source": {s.Source}, "station": {s.Station},
			"from_year": {strconv.Itoa(from)}, "to_year": {strconv.Itoa(s.ToYear)}}.Encode() + "#fetch"
		rows = append(rows, r)
	}
	for _, w := range all.Warnings {
		cautions = append(cautions, u.words(w.Detail))
	}
	return rows, cautions
}

// awayWords say how far a source is, or how coarse.
func awayWords(s *openapi.SourceChoice, u Units) string {
	var parts []string
	if s.DistanceKm != nil {
		parts = append(parts, unit(three(s.DistanceKm), "km"))
	}
	if s.ResolutionKm != nil {
		parts = append(parts, Text("records.cell", three(s.ResolutionKm)))
	}
	if d := s.ElevationDifferenceM; d != nil {
		parts = append(parts, Text("records.higher", u.length(d)))
	}
	if len(parts) == 0 {
		return unknown
	}
	return strings.Join(parts, "; ")
}
