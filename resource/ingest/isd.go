package ingest

import (
	"bytes"
	"math"

	"mastworth/resource"
)

// Fields of a fixed-width record of the Integrated Surface Database, from 0, end exclusive: the control section and the
// mandatory section, which every record has.
const (
	isdStation   = 4
	isdDate      = 15 // YYYYMMDDhhmm, UTC
	isdLatitude  = 28 // thousandths of a degree
	isdLongitude = 34
	isdType      = 41
	isdElevation = 46
	isdDirection = 60
	isdDirectQ   = 63
	isdWindType  = 64
	isdSpeed     = 65
	isdSpeedQ    = 69
	isdAir       = 87
	isdAirQ      = 92
	isdSeaLevel  = 99
	isdMandatory = 105
)

// isdRowBytes is how long records are, about.
const isdRowBytes = 140

// looksISD checks the fixed columns of the first line.
func looksISD(head []byte) bool {
	lines := firstLines(head, 1)
	if len(lines) == 0 || len(lines[0]) < isdMandatory {
		return false
	}
	line := lines[0]
	_, ok := isdStamp(line)
	for _, at := range [...][2]int{{0, isdStation}, {isdLatitude + 1, isdLongitude}, {isdLongitude + 1, isdType}, {isdDirection, isdDirectQ}, {isdSpeed, isdSpeedQ}} {
		for _, c := range line[at[0]:at[1]] {
			ok = ok && c-'0' <= 9
		}
	}
	return ok
}

// readISD reads the fixed-width form of NOAA's Integrated Surface Database: UTC, one report a line.
func readISD(in *input) (*resource.Series, error) {
	s := newObservations(in, isdRowBytes)
	s.column(elementSpeed, isdSpeed+1, "wind speed", "0.1 m/s")
	s.column(elementDirection, isdDirection+1, "wind direction", "degrees")
	s.column(elementTemperature, isdAir+1, "air temperature", "0.1 °C")
	s.column(elementPressure, isdMandatory+1, "station pressure (MA1)", "0.1 hPa")
	s.column(elementGust, isdMandatory+1, "wind gust (OC1)", "0.1 m/s")
	for {
		line, ok := in.src.line()
		if !ok {
			break
		}
		if len(trim(line)) == 0 {
			continue
		}
		in.rep.Rows++
		if err := s.tooMany(); err != nil {
			return nil, err
		}
		s.isdLine(line)
	}
	out, err := s.finish("station")
	if err != nil {
		return nil, err
	}
	out.Attribution = isdAttribution
	return out, nil
}

const isdAttribution = "NOAA National Centers for Environmental Information, Integrated Surface Database"

// isdLine reads one record.
func (s *observations) isdLine(line []byte) {
	rep, no := s.in.rep, s.in.src.lineNo
	if len(line) < isdMandatory {
		code, what := ProblemShortRow, "the line ends before its mandatory part does; it is left out"
		if !s.in.src.terminated {
			code, what = ProblemCutRow, "the file ends in the middle of a line; it is left out"
		}
		if rep.counts(code) {
			rep.keep(no, len(line), "", code, what)
		}
		return
	}
	t, ok := isdStamp(line)
	if !ok {
		if rep.counts(ProblemStamp) {
			rep.keep(no, isdDate+1, "", ProblemStamp, clip(line[isdDate:isdLatitude-1])+" is no date and time; the line is left out")
		}
		return
	}
	special, summary := kindOfReport(line[isdType:isdElevation])
	if summary {
		s.summaries++
		return
	}
	s.station(line[isdStation:isdDate])
	if s.table.rows == 0 {
		s.isdPlace(line)
	}
	o := newObservation()
	if o.unix = t; special {
		o.marks = specialReport
	}
	s.wind(&o, [5][]byte{line[isdDirection:isdDirectQ], line[isdDirectQ:isdWindType], line[isdWindType:isdSpeed], line[isdSpeed:isdSpeedQ],
		line[isdSpeedQ : isdSpeedQ+1]}, [2]int{isdDirection + 1, isdSpeed + 1})
	s.take(&o, line[isdAir:isdAirQ], isdValue{elementTemperature, isdAir + 1, 10, line[isdAirQ]})
	s.seaLevel = s.seaLevel || !bytes.Equal(line[isdSeaLevel:isdSeaLevel+5], []byte("99999"))
	s.isdAdditional(&o, line[isdMandatory:])
	s.add(&o, no)
}

// isdAdditional looks for pressure and gust in the additional section, which ends where remarks begin.
func (s *observations) isdAdditional(o *observation, b []byte) {
	if !bytes.HasPrefix(b, []byte("ADD")) {
		return
	}
	if i := bytes.Index(b, []byte("REM")); i >= 0 {
		b = b[:i]
	}
	if i := bytes.Index(b, []byte("MA1")); i >= 0 && len(b) >= i+15 {
		g := b[i+3:]
		s.pressureGroup(o, g[:5], g[5:6], g[6:11], g[11:12], isdMandatory+i+4)
	}
	if i := bytes.Index(b, []byte("OC1")); i >= 0 && len(b) >= i+8 {
		s.take(o, b[i+3:i+7], isdValue{elementGust, isdMandatory + i + 4, 10, b[i+7]})
	}
}

func (s *observations) isdPlace(line []byte) {
	lat, _ := fixedNumber(line[isdLatitude:isdLongitude], 1000)
	lon, _ := fixedNumber(line[isdLongitude:isdType], 1000)
	elevation, ok := fixedNumber(line[isdElevation:isdElevation+5], 1)
	if !ok {
		elevation = math.NaN()
	}
	s.at(lat, lon, elevation)
}

func isdStamp(line []byte) (unix int64, ok bool) {
	b := line[isdDate:]
	y, m, d := two(b)*100+two(b[2:]), two(b[4:]), two(b[6:])
	h, min := two(b[8:]), two(b[10:])
	if !realDate(y, m, d) || h > 23 || min > 59 {
		return 0, false
	}
	return daysFromCivil(y, m, d)*secondsPerDay + int64(h)*3600 + int64(min)*60, true
}
