package ingest

import (
	"fmt"
	"math"
	"slices"

	"mastworth/resource"
)

// The elements of a weather station's report, in the order of the channels.
const (
	elementSpeed = iota
	elementDirection
	elementGust
	elementTemperature
	elementPressure
	elementHumidity
	elements
	elementMarks = elements // column of the table with the marks of the row
)

var elementQuantities = [elements]resource.Quantity{
	resource.Speed, resource.Direction, resource.Gust, resource.Temperature, resource.Pressure, resource.Humidity,
}

// observation is one report: values in the units of package resource, NaN where missing.
type observation struct {
	unix        int64
	values      [elements]float64
	altimeterPa float64 // altimeter setting
	marks       uint8   // bits of the elements that the publisher's quality codes refuse, and specialReport
}

func newObservation() observation {
	o := observation{altimeterPa: math.NaN()}
	for i := range o.values {
		o.values[i] = math.NaN()
	}
	return o
}

// refuse marks an element as refused by its publisher.
func (o *observation) refuse(element int) { o.marks |= 1 << element }

// observations collects the reports of one station.
type observations struct {
	in         *input
	table      *table
	place      *resource.Place
	elevationM float64 // NaN: unknown
	origin     [elements]ColumnReport
	stations   []string

	flagged    [elements]int64
	calmCodes  int64 // calms told by a code beside a missing speed
	fromSet    int64 // pressures made of the altimeter setting
	unusedSet  int64 // altimeter settings without an elevation
	seaLevel   bool  // there is pressure reduced to sea level
	summaries  int64 // rows that sum up a day or month
	anyProblem [elements]int64
}

func newObservations(in *input, rowBytes float64) *observations {
	return &observations{in: in, table: newTable(elements+1, in.src.rowsAhead(rowBytes)), elevationM: math.NaN()}
}

// column notes where an element stands, for the report.
func (s *observations) column(element, number int, name, unitName string) {
	height := math.NaN()
	if element <= elementGust {
		height = airportHeightM
	}
	s.origin[element] = ColumnReport{Number: number, Name: name, Quantity: elementQuantities[element].String(), HeightM: height, Unit: unitName,
		How: "by the format"}
}

// add takes a report. A wind of no speed has no direction, whatever figure stands there; north is 360 in reports.
func (s *observations) add(o *observation, line int) {
	v := &o.values
	if v[elementSpeed] == 0 {
		v[elementDirection] = math.NaN()
	}
	if v[elementDirection] == 360 {
		v[elementDirection] = 0
	}
	if math.IsNaN(v[elementPressure]) && !math.IsNaN(o.altimeterPa) {
		if math.IsNaN(s.elevationM) {
			s.unusedSet++
		} else if p := resource.StationPressure(o.altimeterPa, s.elevationM); !math.IsNaN(p) {
			v[elementPressure] = p
			s.fromSet++
		}
	}
	for i, x := range v {
		s.table.values[i].add(x)
		if o.marks>>i&1 != 0 {
			s.flagged[i]++
		}
	}
	s.table.values[elementMarks].add(float64(o.marks))
	s.table.row(o.unix, line)
}

// at sets the station's place, if what the file says can be one. Unknown stations stand at 0° north, 0° east.
func (s *observations) at(lat, lon, elevationM float64) {
	if !(math.Abs(lat) <= 90 && math.Abs(lon) <= 180) || lat == 0 && lon == 0 {
		if lat == 0 && lon == 0 {
			s.in.rep.assume("the file puts the station at 0° north, 0° east: its place and elevation are taken to be unknown")
		}
		return
	}
	if !(elevationM > -500 && elevationM < 9000) {
		elevationM = math.NaN()
	}
	s.elevationM = elevationM
	s.place = &resource.Place{Point: [2]float64{lon, lat}, ElevationM: elevationM}
}

// station notes the row's station.
func (s *observations) station(b []byte) {
	if n := len(s.stations); n > 0 && s.stations[n-1] == string(b) || n > mostKeys {
		return
	}
	if !slices.Contains(s.stations, string(b)) {
		s.stations = append(s.stations, string(b))
	}
}

// problem notes a value that cannot be read.
func (s *observations) problem(element, column int, b []byte) {
	s.anyProblem[element]++
	if rep := s.in.rep; rep.counts(ProblemNumber) {
		rep.keep(s.in.src.lineNo, column, s.origin[element].Name, ProblemNumber, clip(b)+" is no number that can be used; the value is missing")
	}
}

// tooMany is the error for more rows than are taken, nil below that.
func (s *observations) tooMany() error {
	most := s.in.o.MaxRows
	if most == 0 {
		most = DefaultMaxRows
	}
	if s.in.rep.Rows <= most {
		return nil
	}
	return &ReadError{Line: s.in.src.lineNo, Reason: fmt.Sprintf("the record has more than %d rows, the most that are taken", most),
		Remedy: "cut it into pieces"}
}

// finish puts the reports on their schedule and makes a Series of them. key is the column that names the station.
func (s *observations) finish(key string) (*resource.Series, error) {
	rep := s.in.rep
	if err := s.in.src.broken(); err != nil {
		return nil, err
	}
	if len(s.stations) > 1 {
		return nil, &ReadError{Reason: fmt.Sprintf("the file holds several stations: column %q has %s", key, some(s.stations, mostKeys)),
			Remedy: fmt.Sprintf("choose one with the option only, such as only=%s=%s", key, s.stations[0])}
	}
	if s.table.rows == 0 {
		return nil, s.nothing()
	}
	a, routine := s.table.settleReports(rep, elementSpeed, elementMarks)
	if a.step == 0 {
		a.step, rep.StepS = 3600, 3600
	}
	local := s.local()
	out := &resource.Series{Times: a.times, StepS: a.step, UTCOffsetS: local, Kind: kindOf(a.step), Place: s.place}
	s.channels(out, a)
	s.conclude(out, routine)
	return out, nil
}

// nothing is the error when no row can be used.
func (s *observations) nothing() error {
	rep := s.in.rep
	e := &ReadError{Line: 1, Reason: fmt.Sprintf("none of the %d rows can be used", rep.Rows), Remedy: "download the file again"}
	switch {
	case rep.Rows > 0 && rep.LeftOut == rep.Rows:
		e.Line, e.Remedy = 0, "look at the option only: the text must be as in the file, capitals included"
	case len(rep.Problems) > 0:
		e.Line, e.Column = rep.Problems[0].Line, rep.Problems[0].Column
		e.Reason += ": " + rep.Problems[0].Detail
	}
	return e
}

// local is local standard time less UTC, s.
func (s *observations) local() int64 {
	switch {
	case s.in.o.UTCOffsetS != nil:
		return *s.in.o.UTCOffsetS
	case s.place == nil:
		s.in.rep.assume("%s", utcOnly)
		return 0
	}
	local := int64(math.Round(s.place.Point.Lon()/15)) * 3600
	s.in.rep.assume(localByLongitude, offsetWords(local))
	return local
}

const localByLongitude = "months and hours are counted in local time by the longitude, %s; set utc_offset if the place's clock differs"

// channels makes the channels that hold any value.
func (s *observations) channels(out *resource.Series, a *axis) {
	marks := a.values[elementMarks]
	for e := range elements {
		r := s.origin[e]
		if r.Quantity == "" {
			continue
		}
		values, present, flagged := a.values[e], 0, 0
		for i, v := range values {
			if math.IsNaN(v) {
				continue
			}
			present++
			if int(marks[i])>>e&1 != 0 {
				flagged++
			}
		}
		r.Missing, r.Problems = int64(len(values)-present), s.anyProblem[e]
		if present == 0 && e != elementSpeed {
			r.Quantity, r.How = "", "not used: it holds no value"
		}
		s.in.rep.Columns = append(s.in.rep.Columns, r)
		if r.Quantity == "" {
			continue
		}
		c := resource.Channel{Name: r.Name, Quantity: elementQuantities[e], HeightM: r.HeightM, Values: values}
		if flagged > 0 {
			c.Flags = make([]resource.Flag, len(values))
			for i := range values {
				if !math.IsNaN(values[i]) && int(marks[i])>>e&1 != 0 {
					c.Flags[i] = resource.FlagSource
				}
			}
			s.in.rep.assume("%d values of %s are set aside: their publisher's quality code calls them suspect or wrong", flagged, r.Quantity)
		}
		out.Channels = append(out.Channels, c)
	}
}

// conclude notes what is peculiar to weather stations' reports.
func (s *observations) conclude(out *resource.Series, r routineReports) {
	rep := s.in.rep
	if r.left > 0 || r.moved > 0 {
		rep.assume("one report is taken for each %s, the nearest to %s: %d others are left out (those made between times come when the weather "+
			"turns, and would count it twice), and %d are told for a time up to %s away from their own", duration(out.StepS),
			scheduleWords(out.StepS, r.phase), r.left, r.moved, duration(out.StepS/4))
	}
	if s.summaries > 0 {
		rep.assume("%d rows sum up a day or a month and are left out", s.summaries)
	}
	if s.calmCodes > 0 {
		rep.assume("%d reports have the code for calm beside a missing speed: they are taken for 0 m/s", s.calmCodes)
	}
	if s.fromSet > 0 {
		rep.assume("station pressure is worked out from the altimeter setting and the elevation, %.0f m (%d reports)", s.elevationM, s.fromSet)
	}
	if s.unusedSet > 0 {
		rep.assume("the altimeter setting is not read, since it takes the station's elevation to make station pressure of it, and the file does " +
			"not tell it: the air density comes from the elevation of the site")
	}
	if s.seaLevel && s.fromSet == 0 {
		rep.assume("%s", seaLevelOnly)
	}
	if !slices.ContainsFunc(out.Channels[0].Values, func(v float64) bool { return !math.IsNaN(v) }) {
		rep.assume("no wind speed can be read from this record")
	}
	rep.assume("wind at weather stations is told for %d m above ground", airportHeightM)
	rep.assume("an observation stands for the time from its stamp to the next")
}

// scheduleWords tells the times of a schedule.
func scheduleWords(stepS, phase int64) string {
	if stepS > 3600 {
		return fmt.Sprintf("%02d:%02d UTC and every %s from there", phase/3600%24, phase/60%60, duration(stepS))
	}
	return fmt.Sprintf("minute %d and every %s from there", phase/60, duration(stepS))
}

const seaLevelOnly = "the pressure in the file is reduced to sea level: it is not read, and the air density comes from the elevation"
