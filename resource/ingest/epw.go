package ingest

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"mastworth/resource"
)

// Columns of an EPW data row, from 0 (EnergyPlus auxiliary programs documentation, "EPW data dictionary").
const (
	epwYear = iota
	epwMonth
	epwDay
	epwHour
	epwMinute
	epwWidth = 22 // columns up to the wind speed
)

// epwChannels are the columns that are read, with their codes for missing.
func epwChannels() []channel {
	nan := math.NaN()
	return []channel{
		fixedChannel(21, "wind speed", resource.Speed, airportHeightM, "m/s", 999),
		fixedChannel(20, "wind direction", resource.Direction, airportHeightM, "deg", 999),
		fixedChannel(6, "dry bulb temperature", resource.Temperature, nan, "C", 99.9, 999),
		fixedChannel(9, "atmospheric station pressure", resource.Pressure, nan, "Pa", 999999),
		fixedChannel(8, "relative humidity", resource.Humidity, nan, "%", 999),
		fixedChannel(13, "global horizontal radiation", resource.GlobalHorizontal, nan, "W/m2", 9999, 999999),
		fixedChannel(14, "direct normal radiation", resource.DirectNormal, nan, "W/m2", 9999, 999999),
		fixedChannel(15, "diffuse horizontal radiation", resource.DiffuseHorizontal, nan, "W/m2", 9999, 999999),
	}
}

func looksEPW(head []byte) bool {
	return len(head) > 9 && bytes.EqualFold(head[:9], []byte("LOCATION,"))
}

// readEPW reads EnergyPlus weather: header lines from LOCATION to DATA PERIODS, then a row an hour or less. Hours run
// from 1 to 24 and mark the end of the step, whatever the minute column says.
func readEPW(in *input) (*resource.Series, error) {
	t := &typical{in: in, lx: lexer{src: in.src, delimiter: ','}, channels: epwChannels(), stepS: 3600}
	if err := t.epwHeader(); err != nil {
		return nil, err
	}
	t.open()
	for t.lx.next() {
		if !t.lx.blank() && t.rowFits() {
			t.epwRow()
		}
	}
	return t.finish()
}

// epwHeader takes place, time zone and step from the header.
func (t *typical) epwHeader() error {
	const reach = 60 // lines; there are eight, and more where comments are broken over several
	for range reach {
		if !t.lx.next() {
			break
		}
		name := strings.ToUpper(text(trim(t.lx.field(0))))
		switch {
		case name == "LOCATION":
			if err := t.epwLocation(); err != nil {
				return err
			}
		case strings.HasPrefix(name, "DATA PERIODS"):
			return t.epwPeriods()
		}
	}
	if err := t.lx.src.broken(); err != nil {
		return err
	}
	return &ReadError{Line: t.lx.src.lineNo, Reason: "the header has no line DATA PERIODS", Remedy: "download the file again"}
}

// epwLocation reads LOCATION, city, state, country, source, number, latitude, longitude, time zone, elevation.
func (t *typical) epwLocation() error {
	var v [4]float64
	for i := range v {
		var ok bool
		if t.lx.n >= 10 {
			v[i], ok = number(t.lx.field(6+i), '.')
		}
		if !ok {
			return &ReadError{Line: t.lx.src.lineNo, Column: 7 + i,
				Reason: "the LOCATION line does not give latitude, longitude, time zone and elevation in columns 7 to 10",
				Remedy: "mend the line, or download the file again"}
		}
	}
	return t.at(v[0], v[1], v[2], v[3], 7)
}

// at sets place and time zone, after a look at them. column is where the latitude stands.
func (t *typical) at(lat, lon, zoneH, elevationM float64, column int) error {
	wrong := func(i int, format string, v float64) error {
		return &ReadError{Line: t.lx.src.lineNo, Column: column + i, Reason: fmt.Sprintf(format, v), Remedy: "mend the line"}
	}
	switch {
	case math.Abs(lat) > 90:
		return wrong(0, "%g is no latitude", lat)
	case math.Abs(lon) > 180:
		return wrong(1, "%g is no longitude", lon)
	case math.Abs(zoneH) > 14:
		return wrong(2, "%g hours is no time zone", zoneH)
	}
	t.place = &resource.Place{Point: [2]float64{lon, lat}, ElevationM: elevationM}
	t.offsetS = int64(math.Round(zoneH * 3600))
	return nil
}

// epwPeriods reads DATA PERIODS, number of periods, rows an hour.
func (t *typical) epwPeriods() error {
	if t.lx.n < 3 {
		return nil
	}
	n, ok := whole(t.lx.field(2))
	if !ok || n < 1 || n > 60 || 3600%n != 0 {
		return &ReadError{Line: t.lx.src.lineNo, Column: 3, Reason: fmt.Sprintf("%s is no number of rows an hour", clip(t.lx.field(2))),
			Remedy: "mend the line DATA PERIODS; most files have 1 there"}
	}
	t.stepS = int64(3600 / n)
	return nil
}

func (t *typical) epwRow() {
	var v [5]int
	for i := range v {
		var ok bool
		if v[i], ok = whole(t.lx.field(i)); !ok {
			t.badStamp(i, clip(t.lx.field(i))+" is no whole number in year, month, day, hour or minute; the row is left out")
			return
		}
	}
	hour, minute := v[epwHour], v[epwMinute]
	if hour < 1 || hour > 24 || minute > 60 {
		t.badStamp(epwHour, fmt.Sprintf("hour %d, minute %d is no time of this format, whose hours run from 1 to 24; the row is left out", hour, minute))
		return
	}
	end := hour * 3600
	if t.stepS < 3600 && minute > 0 {
		end = (hour-1)*3600 + minute*60
	}
	t.add(v[epwYear], v[epwMonth], v[epwDay], end)
}
