package ingest

import (
	"bytes"
	"math"
	"strings"

	"mastworth/resource"
)

// looksOpenMeteoCSV checks the names of the place, which stand first.
func looksOpenMeteoCSV(head []byte) bool {
	lines := firstLines(head, 1)
	return len(lines) == 1 && bytes.Contains(lines[0], []byte("latitude,longitude,elevation,utc_offset_seconds"))
}

// readOpenMeteoCSV reads the CSV form of an Open-Meteo answer: names and figures of the place, a blank line, and a table
// whose names carry their units. The daily table that may follow the hourly one after a blank line is not read. (Layout
// from memory.)
func readOpenMeteoCSV(in *input) (*resource.Series, error) {
	lx := lexer{src: in.src, delimiter: ','}
	f, err := openMeteoPlace(&lx)
	if err != nil {
		return nil, err
	}
	for lx.next() && lx.blank() {
	}
	if lx.n > maxColumns {
		return nil, lx.tooWide()
	}
	if lx.n < 2 || !strings.EqualFold(text(trim(lx.field(0))), "time") {
		return nil, &ReadError{Line: in.src.lineNo, Reason: "no line of column names that begins with time follows the place", Remedy: "ask the service again"}
	}
	in.rep.HeaderLine = in.src.lineNo
	p, err := f.plan(&lx, in)
	if err != nil {
		return nil, err
	}
	const digitsOfValue = 6
	g := &loggerFile{plan: p, lx: lx, most: DefaultMaxRows, oneTable: true, table: newTable(len(p.channels),
		in.src.rowsAhead(float64(17+digitsOfValue*len(p.channels))))}
	if in.o.MaxRows > 0 {
		g.most = in.o.MaxRows
	}
	if err := g.rows(); err != nil {
		return nil, err
	}
	s, err := g.finish()
	if err != nil {
		return nil, err
	}
	f.conclude(in, s)
	if _, more := in.src.line(); more {
		in.rep.assume("a second table follows after a blank line and is not read")
	}
	return s, nil
}

// openMeteoPlace reads the names and figures of the place.
func openMeteoPlace(lx *lexer) (*openMeteoFile, error) {
	f := &openMeteoFile{}
	lx.next()
	at := map[string]int{}
	for i := range min(lx.n, maxColumns) {
		at[text(trim(lx.field(i)))] = i
	}
	bad := func(what string) error {
		return &ReadError{Line: lx.src.lineNo, Reason: "the second line does not tell " + what, Remedy: "ask the service again"}
	}
	lx.next()
	value := func(name string, most float64) float64 {
		i, ok := at[name]
		if !ok || i >= min(lx.n, maxColumns) {
			return math.NaN()
		}
		v, ok := number(lx.field(i), '.')
		if !ok || math.Abs(v) > most {
			return math.NaN()
		}
		return v
	}
	f.Latitude, f.Longitude = value("latitude", 90), value("longitude", 180)
	offset, elevation := value("utc_offset_seconds", 14*3600), value("elevation", 9000)
	switch {
	case math.IsNaN(f.Latitude) || math.IsNaN(f.Longitude):
		return nil, bad("latitude and longitude")
	case math.IsNaN(offset):
		return nil, bad("utc_offset_seconds, or one of more than 14 hours")
	}
	f.UTCOffsetS, f.Elevation = int64(offset), &elevation
	if lx.next() && !lx.blank() {
		return nil, &ReadError{Line: lx.src.lineNo, Reason: "the answer is of several places", Remedy: "ask the service for one place"}
	}
	return f, nil
}

// plan makes the columns of the line of names in lx.
func (f *openMeteoFile) plan(lx *lexer, in *input) (*plan, error) {
	n := lx.n
	sh := &sheet{delimiter: ',', point: '.', fields: n, names: make([]string, n), units: make([]string, n), headerLine: lx.src.lineNo,
		firstData: lx.src.lineNo + 1}
	p := &plan{o: in.o, rep: in.rep, sheet: sh, columns: make([]planned, n), shapes: make([]shape, n), clock: newClock()}
	for i := range n {
		sh.names[i] = text(trim(lx.field(i)))
		if p.columns[i].column = describe(sh.names[i], ""); i == 0 {
			p.columns[i].column = column{role: ColumnTime, heightM: math.NaN()}
		}
	}
	p.clock.date = 0
	p.known = &knownTime{clockS: f.UTCOffsetS, localS: f.UTCOffsetS, ends: StampsBegin}
	if next, err := in.src.peek(64); err == nil {
		if _, rest := digits(next); len(next)-len(rest) >= 9 {
			p.clock.form, p.known.clockS = unixTime, 0 // Unix seconds are UTC
		}
	}
	if err := p.applySpecs(); err != nil {
		return nil, err
	}
	if err := p.findFilters(); err != nil {
		return nil, err
	}
	p.pickChannels()
	p.report()
	if len(p.channels) == 0 {
		return nil, p.noChannels()
	}
	return p, nil
}

// conclude moves the irradiances, and notes what is peculiar to the service.
func (f *openMeteoFile) conclude(in *input, s *resource.Series) {
	s.Place, s.Attribution = f.place(), openMeteoAttribution
	for i := range s.Channels {
		c := &s.Channels[i]
		if unitOf(c.Quantity) == irradianceUnit && s.Kind != resource.Daily {
			c.Values = backOneStep(&axis{times: s.Times, step: s.StepS}, c.Values)
			in.rep.assume("%s", irradianceBack)
		}
	}
	if f.UTCOffsetS != 0 && in.o.UTCOffsetS == nil {
		in.rep.assume(openMeteoLocal, offsetWords(s.UTCOffsetS))
	}
	in.rep.assume("%s", openMeteoCell)
}

func (f *openMeteoFile) place() *resource.Place {
	p := &resource.Place{Point: [2]float64{f.Longitude, f.Latitude}, ElevationM: math.NaN()}
	if f.Elevation != nil {
		p.ElevationM = *f.Elevation
	}
	return p
}

const (
	openMeteoAttribution = "Weather data by Open-Meteo.com, CC BY 4.0"
	openMeteoCell        = "wind and weather are those of a reanalysis cell, not of one place in it"
	openMeteoLocal       = "local standard time is taken to be %s, as the stamps are; if that is a summer time, set utc_offset"
	irradianceBack       = "irradiance is the mean over the hour before its stamp: it is moved one hour back"
)
