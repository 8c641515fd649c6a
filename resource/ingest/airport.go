package ingest

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"mastworth/resource"
)

// airportRowBytes is how long rows are, about.
const airportRowBytes = 60

// looksAirport checks the names: archives of airports' reports call station and time "station" and "valid".
func looksAirport(head []byte) bool {
	for _, line := range firstLines(head, 40) {
		if len(trim(line)) == 0 || isComment(line) {
			continue
		}
		fields := strings.FieldsFunc(strings.ToLower(text(line)), func(r rune) bool { return r == ',' || r == '\t' })
		station, valid := false, false
		for _, f := range fields {
			f = strings.Trim(f, ` "`)
			station = station || f == "station"
			valid = valid || f == "valid" || strings.HasPrefix(f, "valid(")
		}
		return station && valid
	}
	return false
}

// airportColumn is one way an element is told: archives name the unit by the last letters.
type airportColumn struct {
	name    string
	element int
	unit    string
}

// airportColumns in the order of preference for each element. p01m and p01i, which look like a pressure at 1 m, are
// precipitation of the last hour; mslp is reduced to sea level.
var airportColumns = []airportColumn{
	{"sknt", elementSpeed, "knots"}, {"sped", elementSpeed, "mph"}, {"drct", elementDirection, "degrees"},
	{"gust", elementGust, "knots"}, {"gust_sknt", elementGust, "knots"}, {"gust_mph", elementGust, "mph"},
	{"tmpc", elementTemperature, "°C"}, {"tmpf", elementTemperature, "°F"}, {"relh", elementHumidity, "%"},
}

// airportFile is an archive of airports' reports being read.
type airportFile struct {
	*reportTable
	fields                                           [elements]int
	units                                            [elements]*unit
	station, valid, lat, lon, elevation, alti, metar int
	sea, kind                                        int
	zone                                             string // as comments or names say; empty: they do not
	undecoded                                        int64
}

// readAirport reads an archive of airports' weather reports: columns of decoded elements, the reports' own text, or
// both; comma or tab, comment lines first, M for missing, irregular minutes.
func readAirport(in *input) (*resource.Series, error) {
	f, err := openAirport(in)
	if err != nil {
		return nil, err
	}
	offset, err := f.clockOffset()
	if err != nil {
		return nil, err
	}
	clock := newClock()
	err = f.each(func() {
		t, ok := clock.universal(f.lx.field(f.valid))
		if !ok {
			f.badStamp(f.valid)
			return
		}
		f.row(t - offset)
	})
	if err != nil {
		return nil, err
	}
	if f.undecoded > 0 {
		in.rep.assume("%d reports have no wind that can be read in their text: those hours have none", f.undecoded)
	}
	out, err := f.finish(f.name(f.station))
	if err != nil {
		return nil, err
	}
	return out, nil
}

// openAirport finds the columns.
func openAirport(in *input) (*airportFile, error) {
	f := &airportFile{}
	head, _ := in.src.peek(headBytes)
	delimiter := byte(',')
	for _, line := range firstLines(head, 40) {
		if len(trim(line)) > 0 && !isComment(line) {
			if bytes.IndexByte(line, '\t') >= 0 {
				delimiter = '\t'
			}
			break
		}
	}
	r, err := openReports(in, delimiter, airportRowBytes, func(line []byte) {
		if _, after, ok := strings.Cut(text(line), "Time Zone"); ok {
			f.zone = strings.TrimSpace(strings.TrimLeft(after, " ->:"))
		}
	})
	if err != nil {
		return nil, err
	}
	f.reportTable = r
	f.station, f.valid = r.find("station"), r.find("valid")
	for i, n := range r.names {
		if zone, ok := strings.CutPrefix(strings.ToLower(n), "valid("); ok && f.valid < 0 {
			f.valid, f.zone, r.need = i, strings.TrimSuffix(zone, ")"), max(r.need, i+1)
		}
	}
	f.lat, f.lon, f.elevation = r.find("lat"), r.find("lon"), r.find("elevation", "elev")
	f.alti, f.metar, f.sea, f.kind = r.find("alti"), r.find("metar"), r.find("mslp"), r.find("report_type")
	for i := range f.fields {
		f.fields[i] = -1
	}
	for _, c := range airportColumns {
		if i := r.find(c.name); i >= 0 && f.fields[c.element] < 0 {
			u, ok := unitNamed(c.unit)
			if !ok {
				panic("ingest: unknown unit in a fixed format")
			}
			f.fields[c.element], f.units[c.element] = i, u
			r.column(c.element, i+1, r.names[i], u.name)
		}
	}
	if f.alti >= 0 {
		r.column(elementPressure, f.alti+1, r.names[f.alti], "inHg, altimeter setting")
	}
	if f.metar >= 0 {
		f.textColumns()
	}
	if f.valid < 0 || f.station < 0 || f.fields[elementSpeed] < 0 && f.metar < 0 {
		return nil, &ReadError{Line: in.rep.HeaderLine, Reason: "there are no columns station and valid, or none of wind (sknt, sped or metar)",
			Remedy: "ask the archive for sknt, drct and tmpc"}
	}
	return f, nil
}

// textColumns lets the reports' text fill the elements that no column tells.
func (f *airportFile) textColumns() {
	for _, c := range []airportColumn{{"", elementSpeed, "in the report"}, {"", elementDirection, "degrees"}, {"", elementGust, "in the report"},
		{"", elementTemperature, "°C"}, {"", elementPressure, "altimeter setting"}} {
		if f.origin[c.element].Quantity == "" {
			f.column(c.element, f.metar+1, f.names[f.metar], c.unit)
		}
	}
}

// clockOffset is the archive's clock less UTC. A clock that follows daylight saving gives no record: two hours of its
// stamps are one, and an hour is missing.
func (f *airportFile) clockOffset() (int64, error) {
	switch strings.ToUpper(f.zone) {
	case "UTC", "ETC/UTC", "GMT", "ETC/GMT", "ZULU":
		return 0, nil
	case "":
		f.in.rep.assume("the archive's stamps are taken to be UTC, which it gives unless asked otherwise")
		return 0, nil
	}
	if f.in.o.UTCOffsetS != nil {
		f.in.rep.assume("the stamps, which the archive tells in %q, are taken to be %s throughout", f.zone, offsetWords(*f.in.o.UTCOffsetS))
		return *f.in.o.UTCOffsetS, nil
	}
	return 0, &ReadError{Reason: fmt.Sprintf("the archive's stamps are in %q, whose clock may follow daylight saving", f.zone),
		Remedy: "ask the archive for UTC, or set utc_offset if the clock is at one offset throughout"}
}

// row reads one report.
func (f *airportFile) row(unix int64) {
	f.reportTable.station(trim(f.lx.field(f.station)))
	if f.table.rows == 0 && f.lat >= 0 && f.lon >= 0 {
		f.at(f.coordinate(f.lat), f.coordinate(f.lon), f.coordinate(f.elevation))
	} else if f.table.rows == 0 && f.elevation >= 0 {
		f.elevationM = f.coordinate(f.elevation)
	}
	o := newObservation()
	o.unix = unix
	for e, field := range f.fields {
		if field >= 0 {
			o.values[e] = f.decimal(e, field, f.units[e], -9999, 9999)
		}
	}
	if f.alti >= 0 {
		o.altimeterPa = f.decimal(elementPressure, f.alti, inchOfMercury, -9999, 9999)
	}
	if f.kind >= 0 && string(trim(f.lx.field(f.kind))) == "4" {
		o.marks = specialReport
	}
	if f.sea >= 0 && !f.seaLevel {
		_, ok := number(f.lx.field(f.sea), '.')
		f.seaLevel = ok
	}
	if f.metar >= 0 {
		f.fromText(&o, decodeReport(f.lx.field(f.metar)))
	}
	f.add(&o, f.in.src.lineNo)
}

var inchOfMercury, _ = unitNamed("inHg")

// fromText fills what the columns leave open.
func (f *airportFile) fromText(o *observation, d airportReport) {
	if d.special {
		o.marks = specialReport
	}
	if f.fields[elementSpeed] < 0 && math.IsNaN(d.speed) {
		f.undecoded++
	}
	for e, v := range [elements]float64{d.speed, d.direction, d.gust, d.temperature, nan, nan} {
		if f.fields[e] < 0 {
			o.values[e] = v
		}
	}
	if f.alti < 0 {
		o.altimeterPa = d.altimeterPa
	}
}
