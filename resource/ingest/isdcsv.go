package ingest

import (
	"bytes"

	"mastworth/resource"
)

// isdCSVRowBytes is how long rows are, about.
const isdCSVRowBytes = 300

func looksISDCSV(head []byte) bool {
	lines := firstLines(head, 1)
	if len(lines) == 0 {
		return false
	}
	line := bytes.ReplaceAll(lines[0], []byte{'"'}, nil)
	return bytes.HasPrefix(line, []byte("STATION,")) && bytes.Contains(line, []byte(",DATE,")) && bytes.Contains(line, []byte(",WND"))
}

// isdColumns are the columns of the CSV form that are read.
type isdColumns struct {
	station, date, kind, lat, lon, elevation, wind, air, sea, pressure, gust int
}

// readISDCSV reads the CSV form of NOAA's Integrated Surface Database: UTC, each element a packed group in one column,
// such as WND: direction, quality, type, speed in tenths, quality.
func readISDCSV(in *input) (*resource.Series, error) {
	r, err := openReports(in, ',', isdCSVRowBytes, nil)
	if err != nil {
		return nil, err
	}
	c := isdColumns{station: r.find("STATION"), date: r.find("DATE"), kind: r.find("REPORT_TYPE"), lat: r.find("LATITUDE"), lon: r.find("LONGITUDE"),
		elevation: r.find("ELEVATION"), wind: r.find("WND"), air: r.find("TMP"), sea: r.find("SLP"), pressure: r.find("MA1"), gust: r.find("OC1")}
	if c.date < 0 || c.wind < 0 {
		return nil, &ReadError{Line: in.rep.HeaderLine, Reason: "there are no columns DATE and WND", Remedy: "download the file again"}
	}
	r.column(elementSpeed, c.wind+1, "WND", "0.1 m/s")
	r.column(elementDirection, c.wind+1, "WND", "degrees")
	if c.air >= 0 {
		r.column(elementTemperature, c.air+1, "TMP", "0.1 °C")
	}
	if c.pressure >= 0 {
		r.column(elementPressure, c.pressure+1, "MA1", "0.1 hPa")
	}
	if c.gust >= 0 {
		r.column(elementGust, c.gust+1, "OC1", "0.1 m/s")
	}
	clock := newClock()
	if err := r.each(func() { r.isdRow(&c, &clock) }); err != nil {
		return nil, err
	}
	out, err := r.finish("STATION")
	if err != nil {
		return nil, err
	}
	out.Attribution = isdAttribution
	return out, nil
}

// isdRow reads one row.
func (r *reportTable) isdRow(c *isdColumns, clock *clock) {
	t, ok := clock.universal(r.lx.field(c.date))
	if !ok {
		r.badStamp(c.date)
		return
	}
	special, summary := kindOfReport(r.optional(c.kind))
	if summary {
		r.summaries++
		return
	}
	r.station(r.optional(c.station))
	if r.table.rows == 0 {
		r.at(r.coordinate(c.lat), r.coordinate(c.lon), r.coordinate(c.elevation))
	}
	o := newObservation()
	if o.unix = t; special {
		o.marks = specialReport
	}
	r.wind(&o, groups(r.lx.field(c.wind)), [2]int{c.wind + 1, c.wind + 1})
	if b := r.optional(c.air); len(b) > 0 {
		g := groups(b)
		r.take(&o, g[0], isdValue{elementTemperature, c.air + 1, 10, codeOf(g[1])})
	}
	if b := r.optional(c.pressure); len(b) > 0 {
		g := groups(b)
		r.pressureGroup(&o, g[0], g[1], g[2], g[3], c.pressure+1)
	}
	if b := r.optional(c.gust); len(b) > 0 {
		g := groups(b)
		r.take(&o, g[0], isdValue{elementGust, c.gust + 1, 10, codeOf(g[1])})
	}
	if b := r.optional(c.sea); len(b) > 0 && !bytes.HasPrefix(b, []byte("99999")) {
		r.seaLevel = true
	}
	r.add(&o, r.in.src.lineNo)
}

// universal reads a stamp in UTC, written 2006-01-02T15:04:05 or in another way that leaves no doubt.
func (c *clock) universal(b []byte) (int64, bool) {
	b = trim(b)
	if c.zoned = -1; len(b) > 0 && b[len(b)-1] == 'Z' {
		b = b[:len(b)-1]
	}
	if t, ok := c.iso(b); ok {
		return t, true
	}
	s, ok := parseStamp(b)
	if !ok || s.order != orderYMD || s.zoned && s.offset != 0 || !realDate(fullYear(s.a), s.b, s.c) {
		return 0, false
	}
	return daysFromCivil(fullYear(s.a), s.b, s.c)*secondsPerDay + int64(s.seconds), true
}
