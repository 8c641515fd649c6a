package fetch

import (
	"errors"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"mastworth/resource"
)

const listHead = `"USAF","WBAN","STATION NAME","CTRY","STATE","ICAO","LAT","LON","ELEV(M)","BEGIN","END"` + "\n"

// row is a line of the list of stations.
func row(usaf, wban, name, country, icao string, lat, lon, elev float64, from, to string) string {
	return fmt.Sprintf("%q,%q,%q,%q,\"\",%q,\"%+07.3f\",\"%+08.3f\",\"%+07.1f\",%q,%q\n", usaf, wban, name, country, icao, lat, lon, elev, from, to)
}

// list is an invented list around the stations that the open data have: their identifiers, and the places that the data
// or their descriptions give, are real; the rest is not.
var list = listHead +
	row("011080", "99999", "COAST", "NO", "ENXX", 65.2, 11.0, 14, "19570101", "20250101") +
	row("108270", "99999", "HILLS", "GM", "", 48.3, 8.5, 700, "19490101", "20251101") +
	row("997726", "99999", "PIER", "UK", "", 48.31, 8.51, -999.9, "20051201", "20201231") +
	row("999999", "94846", "FIELD", "US", "KORD", 41.98, -87.9, 205, "19461001", "20251118") +
	`"000001","99999","NO PLACE","","","","","","","19700101","19800101"` + "\n" +
	`"000002","99999","NULL ISLAND","","","","+00.000","+000.000","","19700101","19800101"` + "\n" +
	`"000003","99999","NO TIME","","","","+10.000","+010.000","","",""` + "\n"

// stationStub serves the list, and a file for each path.
func stationStub(t *testing.T, list string, files map[string][]byte) *stub {
	return newStub(t, func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/stations.csv" {
			_, _ = w.Write([]byte(list))
			return
		}
		body, ok := files[r.URL.Path]
		if !ok {
			http.Error(w, "<html><title>404 Not Found</title></html>", http.StatusNotFound)
			return
		}
		_, _ = w.Write(body)
	})
}

// A whole year of a station, packed as its publisher packs it, against reference/weibull_fits.csv.
func TestISDLite(t *testing.T) {
	s := stationStub(t, list, map[string][]byte{
		"/isd_lite/2015/011080-99999-2015.gz": packed(sharedFile(t, "data/isd_lite/011080-99999-2015")),
		"/isd_lite/2009/108270-99999-2009.gz": packed(sharedFile(t, "data/isd_lite/108270-99999-2009")),
	})
	c, _ := newClient(t, s.URL, withDisk(t))
	for _, k := range []struct {
		name  string
		place Place
		year  int
	}{
		{"isd-lite:011080-99999-2015", Place{Lat: 65, Lon: 11}, 2015},
		{"isd-lite:108270-99999-2009", Place{Lat: 48.4, Lon: 8.5}, 2009}, // the nearer PIER has no file
	} {
		want := reference(t, k.name)
		series, report, fetched, err := c.Fetch(t.Context(), k.place, Years{k.year, k.year}, Source{Archive: ISDLite})
		if err != nil {
			t.Fatal(err)
		}
		check(t, series)
		n, sum := 0, 0.0
		speeds := channel(t, series, resource.Speed, 10)
		for i, v := range speeds.Values {
			if speeds.Usable(i) {
				n++
				sum += v
			}
		}
		if series.Len() != want.n || n != want.n-want.missing || math.Abs(sum/float64(n)-want.mean) > 5e-10 {
			t.Errorf("%s: %d stamps, %d speeds, mean %.10g; want %+v", k.name, series.Len(), n, sum/float64(n), want)
		}
		if report.MissingStamps == 0 || fetched.Station == nil || fetched.Source.Station == "" || series.Place == nil || !math.IsNaN(fetched.ResolutionKM) {
			t.Errorf("%s: %+v, %+v", k.name, report, fetched)
		}
		if share := float64(n) / float64(365*24); math.Abs(fetched.Coverage-share) > 1e-12 {
			t.Errorf("%s: coverage %g, want %g", k.name, fetched.Coverage, share)
		}
	}
}

// A year that the archive does not have is left out and said; no year at all is an error; and both are known offline.
func TestAbsentYears(t *testing.T) {
	s := stationStub(t, list, map[string][]byte{"/isd_lite/2015/011080-99999-2015.gz": packed(sharedFile(t, "data/isd_lite/011080-99999-2015"))})
	disk := withDisk(t)
	source := Source{ISDLite, "011080-99999"}
	for _, change := range []func(*Options){func(*Options) {}, offline} {
		c, _ := newClient(t, s.URL, disk, change)
		_, _, fetched, err := c.Fetch(t.Context(), Place{Lat: 65, Lon: 11}, Years{2014, 2016}, source)
		if err != nil || !slices.Equal(fetched.Absent, []int{2014, 2016}) {
			t.Fatalf("%v, absent %v", err, fetched.Absent)
		}
		if got := codes(fetched.Warnings); !slices.Equal(got, []string{"year_absent", "year_absent", "fetched_incomplete"}) {
			t.Errorf("warnings %v", fetched.Warnings)
		}
		_, _, _, err = c.Fetch(t.Context(), Place{Lat: 65, Lon: 11}, Years{2014, 2014}, source)
		if !errors.Is(err, ErrNoData) {
			t.Errorf("a year that is not there: %v", err)
		}
	}
	if n := s.count(); n != 4 { // list, 2014, 2015, 2016
		t.Errorf("asked %d times: %v", n, s.asked)
	}
}

// The raw answer of an archive of airport reports.
func TestAirportReports(t *testing.T) {
	body := sharedFile(t, "data/iem_asos/asos_ORD.txt")
	s := stationStub(t, list, map[string][]byte{"/airport_reports": body})
	c, _ := newClient(t, s.URL)
	series, _, fetched, err := c.Fetch(t.Context(), Place{Lat: 41.9, Lon: -87.7}, Years{2010, 2010}, Source{Archive: AirportReports})
	if err != nil {
		t.Fatal(err)
	}
	check(t, series)
	if fetched.Source.Station != "ORD" || !strings.Contains(fetched.Requests[0].URL, "station=ORD") {
		t.Errorf("%+v", fetched)
	}
	// The first row: "ORD,2010-10-23 00:51,13.30,-0.60,180.00,7.00": 7 knots, and a knot is 1852/3600 m/s (by definition).
	if v := channel(t, series, resource.Speed, 0).Values[0]; math.Abs(v-7*1852/3600.) > 1e-9 {
		t.Errorf("first speed %g m/s", v)
	}
	if begin := time.Unix(series.Times[0], 0).UTC().Format(time.RFC3339); begin != "2010-10-23T00:51:00Z" {
		t.Errorf("begins %s", begin)
	}
	empty := stationStub(t, list, map[string][]byte{"/airport_reports": []byte("#DEBUG: nothing\nstation,valid,sknt,drct\n")})
	c, _ = newClient(t, empty.URL)
	if _, _, _, err := c.Fetch(t.Context(), inland, Years{2010, 2010}, Source{AirportReports, "ZZZ"}); !errors.Is(err, ErrNoData) {
		t.Errorf("no reports: %v", err)
	}
}

// The archive's rows with packed groups.
func TestISDHourly(t *testing.T) {
	s := stationStub(t, list, map[string][]byte{"/isd/2017/00702699999.csv": sharedFile(t, "data/noaa_isd/00702699999_first299rows.csv")})
	c, _ := newClient(t, s.URL)
	series, report, fetched, err := c.Fetch(t.Context(), inland, Years{2017, 2017}, Source{ISDHourly, "007026-99999"})
	if err != nil {
		t.Fatal(err)
	}
	check(t, series)
	// The first row: "2017-02-10T14:04:00" and "999,9,V,0005,1": 0.5 m/s.
	if v := channel(t, series, resource.Speed, 0).Values[0]; report.Rows != 299 || math.Abs(v-0.5) > 1e-9 {
		t.Errorf("%d rows, first speed %g m/s", report.Rows, v)
	}
	if got := codes(fetched.Warnings); !slices.Contains(got, "station_place_unknown") {
		t.Errorf("warnings %v", got)
	}
}

// Both headers of the global hourly climatology (column names as their description gives them; rows invented).
func TestGHCNHourly(t *testing.T) {
	element := func(name string) string {
		return name + "|" + name + "_Measurement_Code|" + name + "_Quality_Code|" + name + "_Report_Type|" + name + "_Source_Code|" + name + "_Source_Station_ID"
	}
	elements := element("temperature") + "|" + element("wind_direction") + "|" + element("wind_speed")
	values := func(speed string) string { return "12.3||1||1||250|N|1||1||" + speed + "|N|1||1|" }
	older := "Station_ID|Station_name|Year|Month|Day|Hour|Minute|Latitude|Longitude|Elevation|" + elements + "\n"
	newer := "STATION|Station_name|DATE|Year|Month|Day|Hour|Minute|LATITUDE|LONGITUDE|ELEVATION|" + elements + "\n"
	for h := range 24 {
		speed := alternating(h)
		older += fmt.Sprintf("USW00094846|FIELD|2009|01|01|%02d|51|41.98|-87.9|205.0|%s\n", h, values(speed))
		newer += fmt.Sprintf("USW00094846|FIELD|2010-01-01T%02d:51:00|2010|01|01|%02d|51|41.98|-87.9|205.0|%s\n", h, h, values(speed))
	}
	s := stationStub(t, list, map[string][]byte{
		"/ghcn_hourly/2009/psv/GHCNh_USW00094846_2009.psv": []byte(older),
		"/ghcn_hourly/2010/psv/GHCNh_USW00094846_2010.psv": []byte(newer),
	})
	c, _ := newClient(t, s.URL)
	series, report, fetched, err := c.Fetch(t.Context(), Place{Lat: 41.9, Lon: -87.7}, Years{2009, 2010}, Source{Archive: GHCNHourly})
	if err != nil {
		t.Fatal(err)
	}
	check(t, series)
	speeds := channel(t, series, resource.Speed, 0)
	if series.Len() != 48 || speeds.Values[47] != 5.5 || report.GapCount != 1 || fetched.Source.Station != "USW00094846" || fetched.DistanceKM > 20 {
		t.Errorf("%d stamps, last speed %g, %+v, %+v", series.Len(), speeds.Values[47], report, fetched)
	}
}
