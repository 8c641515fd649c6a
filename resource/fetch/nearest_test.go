package fetch

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Three airports at the places that the open data give (nycflights13/airports_3.csv), seen from the middle of Manhattan.
func TestNearestAirports(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(string(sharedFile(t, "data/nycflights13/airports_3.csv")))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	text := listHead
	for i, r := range rows[1:] {
		lat, _ := strconv.ParseFloat(r[2], 64)
		lon, _ := strconv.ParseFloat(r[3], 64)
		feet, _ := strconv.ParseFloat(r[4], 64)
		text += row(fmt.Sprintf("72%04d", i), "14732", r[1], "US", "K"+r[0], lat, lon, feet*0.3048, "19700101", "20250101")
	}
	s := stationStub(t, text, nil)
	c, _ := newClient(t, s.URL)
	high := 25.0
	got, err := c.Nearest(t.Context(), Place{40.783, -73.967, &high}, Years{}, 5)
	if err != nil || len(got) != 3 {
		t.Fatalf("%v, %v", got, err)
	}
	for i, want := range []struct {
		icao     string
		bearing  float64 // as on any map: east, west-south-west, south-east
		km, elev float64
	}{{"KLGA", 94, 8, 22 * 0.3048}, {"KEWR", 239, 20, 18 * 0.3048}, {"KJFK", 135, 23, 13 * 0.3048}} {
		g := got[i]
		if g.ICAO != want.icao || math.Abs(g.BearingDeg-want.bearing) > 3 || math.Abs(g.DistanceKM-want.km) > 1 || math.Abs(g.ElevationDifferenceM-(want.elev-high)) > 0.06 {
			t.Errorf("%d: %+v; want %+v", i, g, want)
		}
	}
}

// The date line and the poles are no edges. Distances are arcs of the sphere of resource.DistanceKM, in closed form.
func TestNearestAroundTheWorld(t *testing.T) {
	s := stationStub(t, listHead+
		row("000010", "99999", "WEST OF IT", "", "", 0, 179.5, 0, "19700101", "20250101")+
		row("000011", "99999", "EAST OF IT", "", "", 0, -179.5, 0, "19700101", "20250101")+
		row("000012", "99999", "NORTH", "", "", 89, 90, 0, "19700101", "20250101")+
		row("000013", "99999", "SOUTH POLE", "", "", -90, 0, 2835, "19700101", "20250101"), nil)
	c, _ := newClient(t, s.URL, withDisk(t))
	const degree = 2 * math.Pi * 6378.137 / 360
	for _, k := range []struct {
		place         Place
		name          string
		away, bearing float64
	}{
		{Place{Lat: 0, Lon: 180}, "", 0.5 * degree, math.NaN()},
		{Place{Lat: 0, Lon: -180}, "", 0.5 * degree, math.NaN()},
		{Place{Lat: 0, Lon: 179.9}, "WEST OF IT", 0.4 * degree, 270},
		{Place{Lat: 0, Lon: -179.9}, "EAST OF IT", 0.4 * degree, 90},
		{Place{Lat: 0, Lon: 179.999}, "WEST OF IT", 0.499 * degree, 270},
		{Place{Lat: 0, Lon: -179.1}, "EAST OF IT", 0.4 * degree, 270},
		{Place{Lat: 90, Lon: 0}, "NORTH", degree, math.NaN()},
		{Place{Lat: 89, Lon: -90}, "NORTH", 2 * degree, 0},
		{Place{Lat: -90, Lon: 77}, "SOUTH POLE", 0, math.NaN()},
		{Place{Lat: -89, Lon: 77}, "SOUTH POLE", degree, 180},
	} {
		got, err := c.Nearest(t.Context(), k.place, Years{}, 1)
		if err != nil || len(got) != 1 {
			t.Fatal(got, err)
		}
		g := got[0]
		if k.name != "" && g.Name != k.name || math.Abs(g.DistanceKM-k.away) > 1e-6 {
			t.Errorf("%+v: %s at %g km; want %s at %g km", k.place, g.Name, g.DistanceKM, k.name, k.away)
		}
		if turn := math.Abs(g.BearingDeg - k.bearing); turn > 1e-6 && turn < 360-1e-6 {
			t.Errorf("%+v: bearing %g, want %g", k.place, g.BearingDeg, k.bearing)
		}
	}
	if s.count() != 1 {
		t.Errorf("the list was fetched %d times", s.count())
	}
}

// The quick choice by chord is the plain one by distance.
func TestNearestIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lon := rapid.Float64Range(-90, 90), rapid.Float64Range(-180, 180)
		var r roster
		n := rapid.IntRange(1, 40).Draw(t, "stations")
		for i := range n {
			s := Station{ID: strconv.Itoa(i), Lat: lat.Draw(t, "lat"), Lon: lon.Draw(t, "lon")}
			r.stations, r.unit = append(r.stations, s), append(r.unit, onSphere(s.Lat, s.Lon))
		}
		place := Place{Lat: lat.Draw(t, "lat"), Lon: lon.Draw(t, "lon")}
		k := rapid.IntRange(1, 10).Draw(t, "wanted")
		got := r.nearest(place, k, func(*Station) bool { return true })
		all := slices.Clone(r.stations)
		for i := range all {
			all[i].seenFrom(place)
		}
		slices.SortFunc(all, func(a, b Station) int { return int(math.Copysign(1, a.DistanceKM-b.DistanceKM)) })
		if len(got) != min(k, n) {
			t.Fatalf("%d of %d", len(got), min(k, n))
		}
		for i := range got {
			if math.Abs(got[i].DistanceKM-all[i].DistanceKM) > 1e-3 {
				t.Fatalf("%d: %g km, want %g", i, got[i].DistanceKM, all[i].DistanceKM)
			}
			if b := got[i].BearingDeg; !(b >= 0 && b < 360) {
				t.Fatalf("bearing %g", b)
			}
		}
	})
}

func TestStationList(t *testing.T) {
	stations, leftOut, err := readStations(strings.NewReader(list))
	if err != nil || len(stations) != 4 || leftOut != 3 {
		t.Fatalf("%d stations, %d left out, %v", len(stations), leftOut, err)
	}
	if s := stations[2]; !math.IsNaN(s.ElevationM) || s.ID != "997726-99999" || s.From.Year() != 2005 {
		t.Errorf("%+v", s)
	}
	for _, text := range []string{"", listHead, "USAF,WBAN,LAT\n1,2,3\n", listHead + "\"a"} {
		if _, _, err := readStations(strings.NewReader(text)); !errors.Is(err, ErrNotData) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestNoStation(t *testing.T) {
	s := stationStub(t, list, nil)
	c, _ := newClient(t, s.URL)
	for _, k := range []struct {
		place  Place
		years  Years
		source Source
		want   error
		says   string
	}{
		{Place{Lat: -40, Lon: -120}, Years{2010, 2010}, Source{Archive: ISDLite}, ErrNoStation, "km away, more than 150 km"},
		{Place{Lat: 65, Lon: 11}, Years{1930, 1931}, Source{Archive: ISDLite}, ErrNoStation, "no station of this archive observed in 1930–1931"},
		{Place{Lat: 48.4, Lon: 8.5}, Years{2010, 2011}, Source{Archive: ISDLite}, ErrNoData, "none of the 2 nearest stations has wind in 2010–2011"},
		{Place{Lat: 65, Lon: 11}, Years{2010, 2010}, Source{ISDLite, "../../secret"}, ErrSource, "is no name of a station"},
		{Place{Lat: 65, Lon: 11}, Years{2010, 2010}, Source{Archive: "weather"}, ErrSource, `there is no archive "weather"`},
	} {
		if _, _, _, err := c.Fetch(t.Context(), k.place, k.years, k.source); !errors.Is(err, k.want) || !strings.Contains(fmt.Sprint(err), k.says) {
			t.Errorf("%+v: %v; want %v, %q", k, err, k.want, k.says)
		}
	}
}

func FuzzStations(f *testing.F) {
	f.Add(list)
	f.Add(listHead + "1,2,3")
	f.Fuzz(func(t *testing.T, text string) {
		stations, _, err := readStations(strings.NewReader(text))
		if err != nil && !errors.Is(err, ErrNotData) {
			t.Fatal(err)
		}
		for i := range stations {
			s := &stations[i]
			if !goodID(s.ID) || math.Abs(s.Lat) > 90 || math.Abs(s.Lon) > 180 || s.ElevationM > 9000 {
				t.Fatalf("%+v", s)
			}
			for _, a := range Archives() {
				if id := s.idFor(a); id != "" && !goodID(id) {
					t.Fatalf("%q in %s", id, a)
				}
			}
		}
	})
}
