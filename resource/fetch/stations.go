package fetch

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"

	"mastworth/resource"
)

// Station is a weather station of NOAA's list, as seen from a place.
type Station struct {
	ID         string // USAF and WBAN numbers, such as "725030-14732"
	Name       string
	Country    string // two letters, as the list has them
	State      string // of the USA; else empty
	ICAO       string // location indicator of its airport; may be empty
	Lat, Lon   float64
	ElevationM float64   // above sea level; NaN where unknown
	From, To   time.Time // days of its first and last observation

	DistanceKM           float64 // from the place
	BearingDeg           float64 // from the place, degrees clockwise from north; 0 where both are one point
	ElevationDifferenceM float64 // station less place; NaN where either is unknown
}

// idFor is the station's name in an archive; empty: it has none there.
func (s *Station) idFor(a Archive) string {
	switch a {
	case ISDLite, ISDHourly:
		return s.ID
	case GHCNHourly: // "USW000" and the WBAN number: from memory; other countries' identifiers are not in the list
		if wban := s.ID[strings.LastIndexByte(s.ID, '-')+1:]; s.Country == "US" && wban != noWBAN {
			return "USW000" + wban
		}
	case AirportReports: // the archive leaves the K off stations of the contiguous USA (seen in its answers)
		if s.Country == "US" && len(s.ICAO) == 4 && s.ICAO[0] == 'K' {
			return s.ICAO[1:]
		}
		return s.ICAO
	}
	return ""
}

// during says whether the station observed at some time in the years; the zero Years are any.
func (s *Station) during(y Years) bool {
	return y == Years{} || s.From.Year() <= y.To && s.To.Year() >= y.From
}

const noWBAN = "99999"

// roster is the list of stations, read once for as long as the answer it came in stays the same.
type roster struct {
	mu       sync.Mutex
	of       time.Time
	stations []Station
	unit     [][3]float64 // on the unit sphere, in the same order
	leftOut  int
}

// Nearest lists the n stations nearest to a place that observed at some time in the years (the zero Years: ever), the
// nearest first. Distances are great circles, so that poles and date line are places like any other. The errors are
// ErrPlace, and those of fetching the list.
func (c *Client) Nearest(ctx context.Context, place Place, years Years, n int) ([]Station, error) {
	stations, _, err := c.nearest(ctx, place, years, n)
	return stations, err
}

func (c *Client) nearest(ctx context.Context, place Place, years Years, n int) ([]Station, []note, error) {
	if err := place.check(); err != nil {
		return nil, nil, err
	}
	f, err := c.answer(ctx, c.listQuery())
	if err != nil {
		return nil, f.notes, err
	}
	return c.roster.nearest(place, n, func(s *Station) bool { return s.during(years) }), f.notes, nil
}

func (c *Client) listQuery() *query {
	return &query{archive: "stations", name: "The list of stations", url: c.o.Sources.StationList, key: c.o.Sources.StationList, looks: looksStationList, use: c.roster.read}
}

// read parses the list, unless it is the one that was read before.
func (r *roster) read(a *Answer) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.stations != nil && r.of.Equal(a.FetchedAt) {
		return nil
	}
	stations, leftOut, err := readStations(bytes.NewReader(a.Body))
	if err != nil {
		return err
	}
	r.of, r.stations, r.leftOut = a.FetchedAt, stations, leftOut
	r.unit = make([][3]float64, len(stations))
	for i := range stations {
		r.unit[i] = onSphere(stations[i].Lat, stations[i].Lon)
	}
	return nil
}

func onSphere(lat, lon float64) [3]float64 {
	sinLat, cosLat := math.Sincos(lat * math.Pi / 180)
	sinLon, cosLon := math.Sincos(lon * math.Pi / 180)
	return [3]float64{cosLat * cosLon, cosLat * sinLon, sinLat}
}

// nearest picks by the square of the chord, which rises with the distance and needs no angle.
func (r *roster) nearest(place Place, n int, suits func(*Station) bool) []Station {
	r.mu.Lock()
	defer r.mu.Unlock()
	if n <= 0 {
		return nil
	}
	type near struct {
		chord2 float64
		index  int
	}
	var best []near
	p := onSphere(place.Lat, place.Lon)
	for i, u := range r.unit {
		x, y, z := u[0]-p[0], u[1]-p[1], u[2]-p[2]
		d := x*x + y*y + z*z
		if len(best) == n && (d >= best[n-1].chord2) || !suits(&r.stations[i]) {
			continue
		}
		at, _ := slices.BinarySearchFunc(best, d, func(b near, d float64) int { return cmp.Compare(b.chord2, d) })
		if best = slices.Insert(best, at, near{d, i}); len(best) > n {
			best = best[:n]
		}
	}
	out := make([]Station, len(best))
	for i, b := range best {
		out[i] = r.stations[b.index]
		out[i].seenFrom(place)
	}
	return out
}

// seenFrom fills in distance, bearing and difference of elevation.
func (s *Station) seenFrom(place Place) {
	at := orb.Point{s.Lon, s.Lat}
	s.DistanceKM = resource.DistanceKM(place.point(), at)
	s.BearingDeg = math.Mod(geo.Bearing(place.point(), at)+360, 360)
	s.ElevationDifferenceM = math.NaN()
	if place.ElevationM != nil {
		s.ElevationDifferenceM = s.ElevationM - *place.ElevationM
	}
}

// named finds a station by its name in an archive.
func (r *roster) named(a Archive, id string) (Station, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for i := range r.stations {
		if r.stations[i].idFor(a) == id {
			return r.stations[i], true
		}
	}
	return Station{}, false
}

// readStations reads NOAA's list of stations: CSV with a line of names (USAF, WBAN, STATION NAME, CTRY, STATE, ICAO, LAT,
// LON, ELEV(M), BEGIN, END). Stations without a place or a period are left out and counted; so are those at 0° 0°, which
// is what the list has for "unknown". Elevations of −999 m are unknown.
func readStations(r io.Reader) (stations []Station, leftOut int, err error) {
	rows := csv.NewReader(r)
	rows.FieldsPerRecord, rows.LazyQuotes, rows.ReuseRecord = -1, true, true
	head, err := rows.Read()
	if err != nil {
		return nil, 0, listFault("it has no line of names", err)
	}
	at := map[string]int{}
	for i, name := range head {
		at[strings.ToUpper(strings.TrimSpace(strings.Trim(name, "\ufeff")))] = i
	}
	for _, name := range []string{"USAF", "WBAN", "LAT", "LON", "BEGIN", "END"} {
		if _, ok := at[name]; !ok {
			return nil, 0, listFault("it has no column "+name, nil)
		}
	}
	for {
		row, err := rows.Read()
		switch {
		case errors.Is(err, io.EOF):
			if len(stations) == 0 {
				return nil, leftOut, listFault(fmt.Sprintf("none of its %d rows is a station with place and period", leftOut), nil)
			}
			return stations, leftOut, nil
		case err != nil:
			return nil, leftOut, listFault("it cannot be read", err)
		}
		s, ok := station(func(name string) string {
			if i, known := at[name]; known && i < len(row) {
				return strings.TrimSpace(row[i])
			}
			return ""
		})
		if !ok {
			leftOut++
			continue
		}
		stations = append(stations, s)
	}
}

// station makes one of a row.
func station(field func(name string) string) (s Station, ok bool) {
	usaf, wban := field("USAF"), field("WBAN")
	lat, errLat := strconv.ParseFloat(field("LAT"), 64)
	lon, errLon := strconv.ParseFloat(field("LON"), 64)
	from, errFrom := time.Parse("20060102", field("BEGIN"))
	to, errTo := time.Parse("20060102", field("END"))
	id := usaf + "-" + wban
	if errors.Join(errLat, errLon, errFrom, errTo) != nil || !goodID(id) || !(math.Abs(lat) <= 90) || !(math.Abs(lon) <= 180) || lat == 0 && lon == 0 {
		return s, false
	}
	elev, err := strconv.ParseFloat(field("ELEV(M)"), 64)
	if err != nil || !(elev > -900 && elev < 9000) {
		elev = math.NaN()
	}
	icao := field("ICAO")
	if !goodID(icao) {
		icao = ""
	}
	return Station{ID: id, Name: field("STATION NAME"), Country: field("CTRY"), State: field("STATE"), ICAO: icao,
		Lat: lat, Lon: lon, ElevationM: elev, From: from, To: to}, true
}

// goodID keeps anything out of addresses that is more than letters, digits and hyphens.
func goodID(id string) bool {
	return len(id) >= 3 && len(id) <= 16 && strings.IndexFunc(id, func(r rune) bool {
		return !(r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' || r == '-')
	}) < 0
}

func listFault(reason string, cause error) error {
	return &Error{Kind: ErrNotData, Archive: "stations", Reason: "the list of stations cannot be used: " + reason,
		Remedy: "check its address in the settings, or name the station", Cause: cause}
}
