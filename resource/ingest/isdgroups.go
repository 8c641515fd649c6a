package ingest

import (
	"bytes"
	"math"
)

// The elements of NOAA's Integrated Surface Database are the same in its two forms: a value in tenths or whole units,
// nines for missing, and a code for its quality (NOAA, "Federal Climate Complex data documentation for integrated
// surface data"; codes from memory). 2, 3, 6 and 7 mean suspect or wrong; letters mean corrected or accepted values.

// poorISD reports a quality code that calls the value suspect or wrong.
func poorISD(code byte) bool { return code == '2' || code == '3' || code == '6' || code == '7' }

// codeOf is a code of one letter, trimmed; '9' where there is none.
func codeOf(b []byte) byte {
	if b = trim(b); len(b) != 1 {
		return '9'
	}
	return b[0]
}

// fixedNumber reads a whole number such as 0005 or -0080 and divides it; NaN when it is all nines. ok is false when it
// is no number.
func fixedNumber(b []byte, div float64) (v float64, ok bool) {
	b = trim(b)
	negative := false
	if len(b) > 0 && (b[0] == '+' || b[0] == '-') {
		negative, b = b[0] == '-', b[1:]
	}
	if len(b) == 0 || len(b) > 7 {
		return math.NaN(), len(b) == 0
	}
	n, nines := 0, true
	for _, c := range b {
		if c-'0' > 9 {
			return math.NaN(), false
		}
		n, nines = n*10+int(c-'0'), nines && c == '9'
	}
	if nines {
		return math.NaN(), true
	}
	if negative {
		n = -n
	}
	return float64(n) / div, true
}

// isdValue is a number of the database on its way into an element.
type isdValue struct {
	element int
	column  int // for messages, 1-based
	div     float64
	quality byte
}

// take reads a number into the report; factor changes its unit.
func (s *observations) take(o *observation, b []byte, at isdValue) {
	v, ok := fixedNumber(b, at.div)
	if !ok {
		s.problem(at.element, at.column, b)
		return
	}
	o.values[at.element] = v
	if poorISD(at.quality) && !math.IsNaN(v) {
		o.refuse(at.element)
	}
}

// wind reads the group of the wind: direction, its quality, type of observation, speed in tenths, its quality. A type C
// says that it was calm, also where the speed is missing: weather reports write calm as a direction of 00.
func (s *observations) wind(o *observation, group [5][]byte, column [2]int) {
	s.take(o, group[0], isdValue{elementDirection, column[0], 1, codeOf(group[1])})
	s.take(o, group[3], isdValue{elementSpeed, column[1], 10, codeOf(group[4])})
	if codeOf(group[2]) == 'C' && math.IsNaN(o.values[elementSpeed]) && codeOf(group[4]) == '9' {
		o.values[elementSpeed] = 0
		s.calmCodes++
	}
}

// pressureGroup reads the group of the altimeter setting and the station pressure, both in tenths of hPa.
func (s *observations) pressureGroup(o *observation, altimeter, altimeterQuality, station, stationQuality []byte, column int) {
	const tenthsOfHPa = 0.1 // Pa are hPa·100
	s.take(o, station, isdValue{elementPressure, column, tenthsOfHPa, codeOf(stationQuality)})
	if a, ok := fixedNumber(altimeter, tenthsOfHPa); ok && !poorISD(codeOf(altimeterQuality)) {
		o.altimeterPa = a
	}
}

// kindOfReport sorts reports by their type: FM-16 is made between times; SOD and SOM sum up a day and a month.
func kindOfReport(b []byte) (special, summary bool) {
	b = trim(b)
	return bytes.Equal(b, []byte("FM-16")), bytes.Equal(b, []byte("SOD")) || bytes.Equal(b, []byte("SOM")) || bytes.Equal(b, []byte("PCP15")) ||
		bytes.Equal(b, []byte("PCP60"))
}

// groups cuts a packed group at its commas. The fields that are not there are empty.
func groups(b []byte) (out [5][]byte) {
	for i := range out {
		k := bytes.IndexByte(b, ',')
		if k < 0 || i == len(out)-1 {
			out[i] = b
			break
		}
		out[i], b = b[:k], b[k+1:]
	}
	return out
}
