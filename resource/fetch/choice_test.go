package fetch

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
)

func names(choices []Choice) []string {
	var out []string
	for _, c := range choices {
		name := string(c.Source.Archive)
		if c.Source.Station != "" {
			name += " " + c.Source.Station
		}
		out = append(out, name)
	}
	return out
}

func TestAvailable(t *testing.T) {
	high := 620.0
	around := listHead +
		row("100001", "99999", "CLOSE BY, HIGH", "GM", "", 48.05, 8, 1100, "19700101", "20251101") +
		row("100002", "99999", "CLOSE BY", "GM", "", 48.1, 8, 650, "19700101", "20251101") +
		row("100003", "99999", "NEW", "GM", "", 48.0, 8.1, 650, "20250101", "20251101") +
		row("100004", "99999", "CLOSED", "GM", "", 48, 8, 600, "19500101", "19700101") +
		row("100005", "99999", "FAR", "GM", "", 49, 8, 600, "19700101", "20251101") +
		row("100006", "99999", "TOO FAR", "GM", "", 54, 8, 600, "19700101", "20251101")
	s := stationStub(t, around, nil)
	disk := withDisk(t)
	want := []string{"isd_lite 100002-99999", "open_meteo", "nasa_power", "isd_lite 100001-99999", "isd_lite 100003-99999", "isd_lite 100005-99999"}
	for i, change := range []func(*Options){func(*Options) {}, func(o *Options) { o.Now = func() time.Time { return today.AddDate(0, 6, 0) } }, offline} {
		c, _ := newClient(t, s.URL, disk, change)
		got, notes, err := c.Available(t.Context(), Place{48, 8, &high})
		if err != nil || len(notes) > 0 || !slices.Equal(names(got), want) || s.count() != 1 {
			t.Errorf("step %d: %v, %v, %v, asked %d times; want %v", i, names(got), notes, err, s.count(), want)
		}
		for _, choice := range got {
			if choice.Reason == "" || choice.Licence == "" || choice.Data == "" || len(choice.HeightsM) == 0 || choice.Years.From > choice.Years.To {
				t.Errorf("%+v", choice)
			}
		}
	}
	// Without a list the rest is told all the same, and offline nobody is asked.
	c, _ := newClient(t, s.URL, offline)
	got, notes, err := c.Available(t.Context(), Place{Lat: 48, Lon: 8})
	if err != nil || !slices.Equal(names(got), []string{"open_meteo", "nasa_power"}) || len(notes) != 1 || notes[0].Code != "stations_unknown" || s.count() != 1 {
		t.Errorf("%v, %v, %v", names(got), notes, err)
	}
	if _, _, err := c.Available(t.Context(), Place{Lat: 98}); !errors.Is(err, ErrPlace) {
		t.Error(err)
	}
}

// MERRA-2 comes on 0.5° of latitude by 0.625° of longitude (the header of the service's answers says so), which is about
// 50 km in the middle latitudes (Gelaro et al. 2017); ERA5's cell is about 31 km (Hersbach et al. 2020), which the
// archive hands out on 0.25°, some 28 km (from memory).
func TestCells(t *testing.T) {
	a, err := archiveNamed(NASAPower)
	if err != nil {
		t.Fatal(err)
	}
	if north, east := a.cellKM(40); math.Round(north/10) != 6 || math.Round(east/10) != 5 {
		t.Errorf("%g km by %g km", north, east)
	}
	if north, east := a.cellKM(90); math.Abs(north-55.6) > 0.05 || east > 1e-9 {
		t.Errorf("at the pole %g km by %g km", north, east)
	}
	if a, err = archiveNamed(OpenMeteo); err != nil {
		t.Fatal(err)
	}
	if north, _ := a.cellKM(0); math.Round(north) != 28 {
		t.Errorf("%g km", north)
	}
	if a, err = archiveNamed(ISDLite); err != nil {
		t.Fatal(err)
	}
	if north, east := a.cellKM(0); !math.IsNaN(north) || !math.IsNaN(east) {
		t.Error("a station has no cell")
	}
}

// Addresses of real files, as the formats' descriptions and requests give them.
func TestAddresses(t *testing.T) {
	q := &ask{lat: 52.27, lon: 6.82, year: 2016, from: newYear(2016), to: newYear(2017).AddDate(0, 0, -1)}
	d := DefaultSources()
	for _, k := range []struct {
		archive       Archive
		station, want string
	}{
		{ISDLite, "024130-99999", "https://www.ncei.noaa.gov/pub/data/noaa/isd-lite/2016/024130-99999-2016.gz"},
		{ISDHourly, "024130-99999", "https://www.ncei.noaa.gov/data/global-hourly/access/2016/02413099999.csv"},
		{GHCNHourly, "USW00094846", "https://www.ncei.noaa.gov/oa/global-historical-climatology-network/hourly/access/by-year/2016/psv/GHCNh_USW00094846_2016.psv"},
		{AirportReports, "ORD", "https://mesonet.agron.iastate.edu/cgi-bin/request/asos.py?data=sknt&data=drct&data=gust&data=tmpf&data=alti&day1=1&day2=1&" +
			"format=onlycomma&latlon=no&missing=M&month1=1&month2=1&report_type=3&station=ORD&trace=T&tz=Etc%2FUTC&year1=2016&year2=2017"},
	} {
		a, err := archiveNamed(k.archive)
		if err != nil {
			t.Fatal(err)
		}
		q.station = k.station
		if got := a.address(strings.TrimRight(a.base(&d), "/"), q); got != k.want {
			t.Errorf("%s:\n%s; want\n%s", k.archive, got, k.want)
		}
	}
	field := &Station{ID: "725300-94846", Country: "US", ICAO: "KORD"}
	other := &Station{ID: "010010-99999", Country: "NO", ICAO: "ENJA"}
	for _, k := range []struct {
		s    *Station
		a    Archive
		want string
	}{{field, GHCNHourly, "USW00094846"}, {field, AirportReports, "ORD"}, {field, ISDLite, "725300-94846"}, {other, GHCNHourly, ""}, {other, AirportReports, "ENJA"}} {
		if got := k.s.idFor(k.a); got != k.want {
			t.Errorf("%s in %s: %q, want %q", k.s.ID, k.a, got, k.want)
		}
	}
}
