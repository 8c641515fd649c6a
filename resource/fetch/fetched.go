package fetch

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// Source says what to fetch from.
type Source struct {
	Archive Archive
	// Station is its name in the archive: USAF and WBAN numbers ("725030-14732") in isd_lite and isd, the station
	// identifier in ghcn_hourly, the airport's in airport_reports. Empty: the nearest that has the years, within
	// Options.MaxStationKM. It says nothing to the archives that go by coordinate.
	Station string
}

// Fetched says where a record came from, under what terms, and how far to trust it.
type Fetched struct {
	Source       Source    // with the station that was taken
	Station      *Station  // nil: none, or not in the list
	Years        Years     // as asked for
	Absent       []int     // years that the archive does not have for the station
	Requests     []Request // one a year, in order, and after them that for the monthly sun
	FromCache    bool      // no service was asked
	Attribution  string    // what the publisher asks to be said; also in the Series
	Licence      string
	Data         string  // what the data are, in words
	CellNorthKM  float64 // side of the reanalysis cell from south to north, km; NaN for a station
	CellEastKM   float64 // and from west to east, at this latitude
	ResolutionKM float64 // the longer side; NaN for a station
	DistanceKM   float64 // from the place to what the record is of: the station, or the point answered for; NaN: not known
	Coverage     float64 // share of the time asked for that has a wind speed, 0 to 1
	Warnings     []resource.Warning

	// Sun has the mean irradiation of each month, where the record has no irradiance to estimate from; nil where it has, where
	// Options.MonthlySun is not set, and where it could not be had, which is a warning.
	Sun *ingest.Climatology
}

// Request is one request and what came of it.
type Request struct {
	URL       string
	Year      int // 0: not for one year
	Status    int // HTTP status: 200, or 404 for a year that the archive does not have
	FetchedAt time.Time
	Bytes     int64  // unpacked
	SHA256    string // of the unpacked bytes, hexadecimal; empty where there are none
	FromCache bool
}

// note is a warning in the making.
type note = resource.Warning

func warn(code, format string, args ...any) note {
	return note{Code: code, Detail: fmt.Sprintf(format, args...)}
}

func (f *found) note(code, format string, args ...any) {
	f.notes = append(f.notes, warn(code, format, args...))
}

// request describes an answer.
func (f *found) request(year int) Request {
	r := Request{URL: f.URL, Year: year, Status: f.Status, FetchedAt: f.FetchedAt, Bytes: int64(len(f.Body)), FromCache: f.fromCache}
	if len(f.Body) > 0 {
		sum := sha256.Sum256(f.Body)
		r.SHA256 = hex.EncodeToString(sum[:])
	}
	return r
}
