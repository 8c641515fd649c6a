package ingest

import (
	"bytes"
	"math"
	"strings"

	"mastworth/resource"
)

// ghcnRowBytes is how long rows are, about: most of their columns are empty.
const ghcnRowBytes = 600

func looksGHCN(head []byte) bool {
	lines := firstLines(head, 1)
	if len(lines) == 0 {
		return false
	}
	line := bytes.ToLower(lines[0])
	return bytes.HasPrefix(line, []byte("station")) && bytes.Contains(line, []byte("|wind_speed|"))
}

// ghcnElement is one element: the columns of its value, of its measurement code and of its quality code.
type ghcnElement struct {
	value, measured, quality int
	unit                     *unit
}

// readGHCN reads NOAA's Global Historical Climatology Network, hourly: separated by "|", UTC, six columns an element.
// Two headers live side by side (Station_ID … and STATION, DATE …), so columns are found by name.
func readGHCN(in *input) (*resource.Series, error) {
	r, err := openReports(in, '|', ghcnRowBytes, nil)
	if err != nil {
		return nil, err
	}
	station := r.find("STATION", "Station_ID")
	parts := [5]int{r.find("Year"), r.find("Month"), r.find("Day"), r.find("Hour"), r.find("Minute")}
	date := -1
	if parts[0] < 0 || parts[1] < 0 || parts[2] < 0 || parts[3] < 0 {
		date = r.find("DATE")
	}
	lat, lon, elevation := r.find("LATITUDE"), r.find("LONGITUDE"), r.find("ELEVATION")
	if parts[0] < 0 && date < 0 || r.find("wind_speed") < 0 {
		return nil, &ReadError{Line: in.rep.HeaderLine, Reason: "there are no columns of wind_speed and of Year, Month, Day and Hour",
			Remedy: "download the file again"}
	}
	e := r.ghcnElements()
	altimeter := r.ghcnElement("altimeter", "hPa")
	sea := r.find("sea_level_pressure")
	kind := r.find("wind_speed_Report_Type", "temperature_Report_Type")
	clock := newClock()
	err = r.each(func() {
		o := newObservation()
		var bad int
		if o.unix, bad = r.ghcnStamp(parts, date, &clock); bad >= 0 {
			r.badStamp(bad)
			return
		}
		special, summary := kindOfReport(ghcnReport(r.optional(kind)))
		if summary {
			r.summaries++
			return
		}
		if special {
			o.marks = specialReport
		}
		r.station(r.optional(station))
		if r.table.rows == 0 {
			r.at(r.coordinate(lat), r.coordinate(lon), r.coordinate(elevation))
		}
		r.ghcnRow(&o, &e)
		if b := r.optional(altimeter.value); len(b) > 0 && !poorGHCN(r.optional(altimeter.quality)) {
			o.altimeterPa = r.decimal(elementPressure, altimeter.value, altimeter.unit, 9999, 9999.9, 99999)
		}
		r.seaLevel = r.seaLevel || len(r.optional(sea)) > 0
		r.add(&o, in.src.lineNo)
	})
	if err != nil {
		return nil, err
	}
	out, err := r.finish(r.name(max(station, 0)))
	if err != nil {
		return nil, err
	}
	out.Attribution = "NOAA National Centers for Environmental Information, Global Historical Climatology Network hourly"
	return out, nil
}

// ghcnElements finds the columns of the elements that are read.
func (r *reportTable) ghcnElements() (e [elements]ghcnElement) {
	for i, c := range [elements]struct{ name, unit string }{
		elementSpeed: {"wind_speed", "m/s"}, elementDirection: {"wind_direction", "degrees"}, elementGust: {"wind_gust", "m/s"},
		elementTemperature: {"temperature", "°C"}, elementPressure: {"station_level_pressure", "hPa"}, elementHumidity: {"relative_humidity", "%"},
	} {
		e[i] = r.ghcnElement(c.name, c.unit)
		if e[i].value >= 0 {
			r.column(i, e[i].value+1, r.names[e[i].value], e[i].unit.name)
		} else if i == elementPressure && r.find("altimeter") >= 0 {
			r.column(i, r.find("altimeter")+1, "altimeter", "hPa")
		}
	}
	return e
}

func (r *reportTable) ghcnElement(name, unitName string) ghcnElement {
	u, ok := unitNamed(unitName)
	if !ok {
		panic("ingest: unknown unit in a fixed format")
	}
	return ghcnElement{value: r.find(name), measured: r.find(name + "_Measurement_Code"), quality: r.find(name + "_Quality_Code"), unit: u}
}

// ghcnRow reads the elements of a row. A measurement code C says calm, also where the speed is missing.
func (r *reportTable) ghcnRow(o *observation, e *[elements]ghcnElement) {
	for i := range e {
		c := &e[i]
		if c.value < 0 || len(r.lx.field(c.value)) == 0 {
			continue
		}
		v := r.decimal(i, c.value, c.unit, ghcnMissing(i)...)
		o.values[i] = v
		if !math.IsNaN(v) && poorGHCN(r.optional(c.quality)) {
			o.refuse(i)
		}
	}
	if c := &e[elementSpeed]; math.IsNaN(o.values[elementSpeed]) && strings.HasPrefix(string(trim(r.optional(c.measured))), "C") {
		o.values[elementSpeed] = 0
		r.calmCodes++
	}
}

var (
	ghcnNines    = []float64{-9999, 999.9, 9999, 9999.9, 99999}
	ghcnNines999 = []float64{-9999, 999, 999.9, 9999, 99999}
)

// ghcnMissing lists the nines that stand for missing: 999 is one for a wind, not for a pressure.
func ghcnMissing(element int) []float64 {
	if element == elementPressure {
		return ghcnNines[2:]
	}
	return ghcnNines999
}

// poorGHCN reports a quality code that refuses the value. Digits are those of the older database. Of the letters, those
// that the older database uses for corrected or accepted values pass; the network's own mark a test that failed (codes
// from memory).
func poorGHCN(b []byte) bool {
	if b = trim(b); len(b) != 1 {
		return false
	}
	switch c := b[0]; {
	case c-'0' <= 9:
		return poorISD(c)
	default:
		return strings.IndexByte("LoFDdWKTShVwNEpH", c) >= 0
	}
}

// ghcnReport takes the type out of codes such as "FM-15-Metar".
func ghcnReport(b []byte) []byte {
	if b = trim(b); len(b) > 5 && bytes.HasPrefix(b, []byte("FM-")) {
		return b[:5]
	}
	return b
}

// ghcnStamp reads the row's time; bad is the column that cannot be read, −1 when all is well.
func (r *reportTable) ghcnStamp(parts [5]int, date int, c *clock) (unix int64, bad int) {
	if date >= 0 {
		t, ok := c.universal(r.lx.field(date))
		if !ok {
			return 0, date
		}
		return t, -1
	}
	var v [5]int
	for i, f := range parts {
		if f < 0 {
			continue
		}
		var ok bool
		if v[i], ok = whole(r.lx.field(f)); !ok {
			return 0, f
		}
	}
	if !realDate(v[0], v[1], v[2]) {
		return 0, parts[2]
	}
	if v[3] > 23 || v[4] > 59 {
		return 0, parts[3]
	}
	return daysFromCivil(v[0], v[1], v[2])*secondsPerDay + int64(v[3])*3600 + int64(v[4])*60, -1
}
