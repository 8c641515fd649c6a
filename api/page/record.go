package page

import (
	"fmt"
	"html/template"
	"net/url"
	"regexp"
	"strings"
	"time"

	"mastworth/api/chart"
	"mastworth/openapi"
)

// RecordChart is a chart of a record or a curve, drawn for its page.
type RecordChart struct {
	ChartPart
	Name, Alt string
	Files     string // the address of its files, up to the point before svg, png or csv
	Query     string // what goes behind that, with its question mark; or nothing
	Long      bool   // its table is too long for a page; the CSV has it
	NoTable   bool   // the page has it in words already

	// Where the drawing is too heavy for the page, it is linked to instead: light and dark.
	Light, Dark   string
	Width, Height int

	// One that is too wide for a telephone is drawn anew for it, behind an address, which only a telephone asks for.
	Slim, SlimDark        string
	SlimWidth, SlimHeight int
}

// widest is the width of a chart, px, that a telephone shows as it is: its texts stay legible.
const widest = 600

// heaviestDrawing is what a drawing inside a page may weigh, bytes: five of them and the words stay under 150 kB.
const heaviestDrawing = 17 << 10

// plainColour is a colour's fallback, which a page that has the style sheet of charts does not need.
var plainColour = regexp.MustCompile(`(var\(--chart-[a-z0-9-]+),#[0-9a-f]{6}\)`)

// recordTableRows is the longest table shown under a chart.
const recordTableRows = 60

// DrawRecordChart draws a chart for a page. base is the address below which its files are; query what they need behind it.
func DrawRecordChart(c chart.Chart, base, query string, width, height int) (*RecordChart, error) {
	if c.Empty() {
		return nil, nil
	}
	var b strings.Builder
	if err := c.SVG(&b, chart.Options{Variables: true, Bare: true, Width: width, Height: height}); err != nil {
		return nil, fmt.Errorf("the chart %s: %w", c.Name, err)
	}
	out := &RecordChart{Name: c.Name, Alt: c.Alt(), Files: base + c.Name, Query: query, Width: width, Height: height}
	out.Title = c.Title
	if svg := plainColour.ReplaceAllString(b.String(), "$1)"); len(svg) <= heaviestDrawing {
		out.SVG = template.HTML(svg) //nolint:gosec // of our own making; it escapes what is in it
	} else {
		out.Light, out.Dark = out.linked(width, height)
	}
	if width > widest {
		out.SlimWidth, out.SlimHeight = drawnWidth, min(height, drawnWidth)
		out.Slim, out.SlimDark = out.linked(out.SlimWidth, out.SlimHeight)
	}
	out.Head, out.Rows = c.Table()
	if out.Long = len(out.Rows) > recordTableRows; out.Long {
		out.Rows = out.Rows[:recordTableRows]
	}
	return out, nil
}

// linked are the addresses of a chart in a size, px, light and dark.
func (c *RecordChart) linked(width, height int) (light, dark string) {
	light = c.Files + ".svg?"
	if c.Query != "" {
		light += c.Query[1:] + "&"
	}
	light += fmt.Sprintf("bare=true&width=%d&height=%d", width, height)
	return light, light + "&dark=true"
}

// RecordPictures is what a record's page shows that takes the whole record to work out; nil charts are not there.
type RecordPictures struct {
	Coverage, Rose, MonthHour, TwoHeights *RecordChart
	Bins                                  *SpeedBins // nil where those of the statistics do
	Climate                               *openapi.Climate
	ClimateMissing                        string // why there is none; or nothing
	Shear                                 *RecordShear
	ShearMissing                          string
}

// RecordShear is the shear between two heights, ready to be shown.
type RecordShear struct {
	LowM, HighM float64
	Exponent    float64 // of everything
	Rows        []ShearRow
	Overall     ShearRow // all directions
	Checks      []ShearCheckRow
	Warnings    []string
}

// ShearRow is the shear from one direction.
type ShearRow struct {
	FromDeg    float64
	Day, Night float64 // exponents
	N          int     // pairs of speeds
}

// ShearCheckRow holds the profile against a third height.
type ShearCheckRow struct{ HeightM, PredictedMS, MeasuredMS, ErrorPerCent float64 }

// Record is what a record's page shows.
type Record struct {
	ID, Name              string
	Facts                 []Pair
	Attribution           string
	Channel               string // whose wind is shown
	Channels              []Link // of the speeds there are
	Numbers               []Pair // of that channel
	Findings              []RecordFinding
	FindingsCount         int // of all of them
	MoreFindings          int // that are not listed
	FindingsChart, Speeds *RecordChart
	*RecordPictures       // nil while it is being worked out
	Units
	Whole          string // address that waits for it
	Months, Hours  []BarRow
	Turbulence     []BarRow
	TurbulenceNote string
	First          []string // warnings without which no number must be read
	Weak           []string // warnings
	Report         RecordReport
	CSV, Parquet   string
	Sites          []Link
	MayDelete      bool
	Fault          string // of deleting
}

// suspectUnit is the rule of screening that doubts units, as documents name it.
const suspectUnit = "suspect_unit"

// Link is an address in words.
type Link struct {
	Words, To string
	Here      bool
}

// BarRow is a number with a bar beside it.
type BarRow struct {
	Words, Value, More string
	Bar                int // of 100
}

// NewRecord puts a record into words. channel is the name of the speed to show; pictures, in the same units, is nil while they are being made.
func NewRecord(r *openapi.Record, channel string, pictures *RecordPictures, u Units) (Record, error) {
	base := "/v1/records/" + r.ID
	out := Record{ID: r.ID, Name: recordName(r.Name), Attribution: r.Attribution, Channel: channel, RecordPictures: pictures,
		CSV: base + "/samples?format=csv", Parquet: base + "/samples?format=parquet", Report: newRecordReport(&r.Import, u), Units: u}
	out.Facts = recordFacts(r, u)
	out.findings(r)
	for i := range r.Statistics.Screening {
		if f := &r.Statistics.Screening[i]; f.Rule == suspectUnit && f.Channel == channel {
			out.First = append(out.First, u.sentence(f.Detail))
		}
	}
	query := RecordQuery(channel, u)
	var st *openapi.SpeedStatistics
	for i := range r.Statistics.Channels {
		c := &r.Statistics.Channels[i]
		to := "/records/" + r.ID + RecordQuery(c.Channel, u)
		out.Channels = append(out.Channels, Link{u.channel(c.Channel, c.HeightM), to, c.Channel == channel})
		if c.Channel == channel {
			st = c
		}
	}
	files := "/records/" + r.ID + "/charts/"
	var err error
	if out.FindingsChart, err = DrawRecordChart(FindingsChart(r, u), files, u.Query(), 720, findingsHeight(r)); err != nil {
		return out, err
	}
	if out.FindingsChart != nil {
		out.FindingsChart.NoTable = true
	}
	if st == nil {
		return out, nil
	}
	var bins *SpeedBins
	if pictures != nil {
		bins = pictures.Bins
	}
	if out.Speeds, err = DrawRecordChart(SpeedsChart(st, bins, u), files, query, drawnWidth, 290); err != nil {
		return out, err
	}
	out.Numbers = speedNumbers(st, pictures, u)
	out.Months, out.Hours = periodBars(st.Months, monthWords, u), periodBars(st.Hours, hourWords, u)
	out.turbulence()
	return out, nil
}

// RecordQuery asks for a channel, "" for a record without any, in a visitor's units, with its question mark; nothing where there is nothing to ask.
func RecordQuery(channel string, u Units) string {
	v := url.Values{}
	if channel != "" {
		v.Set("channel", channel)
	}
	if u.Feet {
		v.Set("units", u.Word())
	}
	if len(v) == 0 {
		return ""
	}
	return "?" + v.Encode()
}

func recordName(name string) string {
	if name == "" {
		return Text("records.no_name")
	}
	return name
}

// channel names a channel by its height.
func (u Units) channel(name string, heightM *float64) string {
	if heightM == nil {
		return name
	}
	return Text("record.channel_at", name, u.length(heightM))
}

func recordFacts(r *openapi.Record, u Units) []Pair {
	out := []Pair{
		{Text("record.kind"), Text("record.kind." + string(r.Kind))},
		{Text("record.format"), r.Format},
		{Text("record.span"), spanOf(string(r.Kind), Stamp(r.First, r.UTCOffsetS), Stamp(r.Last, r.UTCOffsetS))},
		{Text("record.clock"), offsetWords(r.UTCOffsetS)},
		{Text("record.rows"), Text("record.rows_of", Number(float64(r.Rows), 0), stepWords(r.StepS))},
	}
	if p := r.Place; p != nil {
		words := exactPlace(p.Latitude, p.Longitude)
		if p.ElevationM != nil {
			words += ", " + Text("record.elevation", u.length(p.ElevationM))
		}
		out = append(out, Pair{Text("record.place"), words})
	} else {
		out = append(out, Pair{Text("record.place"), Text("record.place_unknown")})
	}
	var channels []string
	for _, c := range r.Channels {
		channels = append(channels, Text("record.channel", u.channel(c.Name, c.HeightM), quantityWords(c.Quantity), c.Unit))
	}
	return append(out, Pair{Text("record.channels"), strings.Join(channels, "; ")}, Pair{Text("record.created"), Day(r.CreatedAt)},
		Pair{Text("record.hash"), r.ContentHash}, Pair{Text("record.id"), r.ID})
}

// quantityWords are the words for a quantity; its own name where there are none.
func quantityWords(quantity string) string {
	if words, ok := catalogue()["record.quantity."+quantity]; ok {
		return words
	}
	return quantity
}

// moment is a day and its hour, in UTC.
func moment(t time.Time) string { return Text("date.moment", Day(t), t.UTC().Format("15:04")) }

// inClock is a moment whose UTC is what a record's own clock shows.
func inClock(t time.Time, utcOffsetS int64) time.Time {
	return t.UTC().Add(time.Duration(utcOffsetS) * time.Second)
}

// Stamp is a moment by a record's own clock, in words.
func Stamp(t time.Time, utcOffsetS int64) string {
	return moment(inClock(t, utcOffsetS))
}

func period(from, to time.Time, utcOffsetS int64) string {
	if from.Equal(to) {
		return Stamp(from, utcOffsetS)
	}
	if a, b := inClock(from, utcOffsetS), inClock(to, utcOffsetS); a.YearDay() == b.YearDay() && a.Year() == b.Year() {
		return moment(a) + "–" + b.Format("15:04")
	}
	return Stamp(from, utcOffsetS) + " – " + Stamp(to, utcOffsetS)
}
