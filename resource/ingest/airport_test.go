package ingest

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"mastworth/resource"
)

// TestAirportArchive compares a real archive with its routine reports, picked by their minute and averaged here with
// encoding/csv alone. The knot is 1852 m an hour.
func TestAirportArchive(t *testing.T) {
	path := shared(t, "data", "iem_asos", "asos_ORD.txt")
	s, _ := readFile(t, path, Options{})
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	n, sum, all := 0, 0.0, 0.0
	for _, row := range rows[1:] {
		v, err := strconv.ParseFloat(row[5], 64)
		if err != nil {
			t.Fatal(err)
		}
		all += v
		if strings.HasSuffix(row[1], ":51") {
			n, sum = n+1, sum+v
		}
	}
	got := summarise(channelOf(t, s, resource.Speed).Values)
	if got.n != n || n != 144 {
		t.Errorf("%d hours, want %d", got.n, n)
	}
	near(t, "mean of the routine reports", got.mean, sum/float64(n)*1852/3600, 1e-12)
	if all/float64(len(rows)-1) <= sum/float64(n) {
		t.Error("in this record the special reports should be the windier ones")
	}
	if hasQuantity(s, resource.Pressure) {
		t.Error("neither p01m, precipitation, nor mslp, reduced to sea level, is a station pressure")
	}
}

func TestAirportVariants(t *testing.T) {
	const names = "station,valid,lon,lat,elevation,tmpf,relh,drct,sped,alti,gust,p01i\n"
	cases := []loggerCase{
		{
			name: "mph, altimeter setting with the elevation, place",
			// 29.92 inHg at 5280 ft gives 834.5 hPa: shared reference, station pressure (1013.25 hPa to 834.51 hPa).
			text:     names + "XYZ,2023-05-01 00:51,-105,40,1609.344,50,40,360,10,29.92,M,0.01\nXYZ,2023-05-01 01:51,-105,40,1609.344,M,M,0,0,M,20,T\n",
			channels: []string{"speed@10: 4.4704 0", "direction@10: 0 -", "gust@10: - 10.2889", "temperature: 10 -", "pressure: 83447.1 -", "humidity: 0.4 -"},
			step:     3600, offset: -7 * 3600, assumed: []string{"1609 m", "UTC-07:00"},
		},
		{
			name: "tabs, reports alone, MPS, no wind measured",
			text: "#DEBUG: Time Zone     -> UTC\nstation\tvalid\tmetar\nXYZ\t2023-05-01 00:00\tXYZ 010000Z 21007G15MPS CAVOK 03/M10 Q1013\n" +
				"XYZ\t2023-05-01 00:30\tXYZ 010030Z /////KT 9999 M02/ Q1013 RMK T10211100\nXYZ\t2023-05-01 01:00\tSPECI XYZ 010100Z VRB36KMH 1 1/2SM\n",
			channels: []string{"speed@10: 7 - 10", "direction@10: 210 - -", "gust@10: 15 - -", "temperature: 3 -2.1 -"},
			step:     1800, assumed: []string{"1 reports have no wind", "altimeter setting is not read"},
		},
	}
	for _, tc := range cases {
		t.Run(tc.name, tc.check)
	}
	local := "station,valid(America/Chicago),sknt\nXYZ,2023-05-01 00:00,1\nXYZ,2023-05-01 01:00,2\n"
	if _, _, err := Read(strings.NewReader(local), Options{}); err == nil || !strings.Contains(err.Error(), "daylight saving") {
		t.Errorf("local time: %v", err)
	}
	s, _, err := Read(strings.NewReader(local), Options{UTCOffsetS: hours(-6)})
	if err != nil || clockText(s.Times[0]) != "2023-05-01 06:00" {
		t.Errorf("local time with its offset: %v", err)
	}
	several := "station,valid,sknt\nAAA,2023-05-01 00:00,1\nBBB,2023-05-01 01:00,2\n"
	if _, _, err := Read(strings.NewReader(several), Options{}); err == nil || !strings.Contains(err.Error(), "only=station=AAA") {
		t.Errorf("two stations: %v", err)
	}
	s, _, err = Read(strings.NewReader(several), Options{Only: map[string]string{"station": "BBB"}})
	if err != nil || s.Len() != 1 || s.Channels[0].Values[0] != 2.0*1852/3600 {
		t.Errorf("one of two: %v", err)
	}
}

// TestScheduleProperty: whatever special reports are thrown in, those on the hour come through, and nothing else does.
func TestScheduleProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		minute := rapid.IntRange(0, 59).Draw(t, "minute")
		hours := rapid.IntRange(24, 80).Draw(t, "hours")
		var b strings.Builder
		b.WriteString("station,valid,sknt\n")
		for h := range hours {
			day, hour := 1+h/24, h%24
			stamp := func(m int) string {
				return "2023-05-" + pad(day) + " " + pad(hour) + ":" + pad(m)
			}
			b.WriteString("X," + stamp(minute) + "," + strconv.Itoa(1+h) + "\n")
			if m := (minute + rapid.IntRange(1, 59).Draw(t, "special")) % 60; h > 0 && h < hours-1 && rapid.IntRange(0, 2).Draw(t, "is") == 0 {
				b.WriteString("X," + stamp(m) + ",90\n")
			}
		}
		s, rep, err := Read(strings.NewReader(b.String()), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if s.StepS != 3600 {
			t.Skip("the specials make a schedule of their own")
		}
		if s.Len() != hours || rep.GapCount != 0 {
			t.Fatalf("%d stamps of %d hours, %d gaps\n%s", s.Len(), hours, rep.GapCount, b.String())
		}
		for i, v := range s.Channels[0].Values {
			if want := float64(1+i) * 1852 / 3600; math.Abs(v-want) > 1e-12 {
				t.Fatalf("hour %d: %g, want %g", i, v, want)
			}
		}
	})
}

func pad(n int) string {
	if n < 10 {
		return "0" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}

// TestScheduleOfTwoNetworks: reports on the hour beside those at :20 and :50 make half-hours, not ten-minute steps with
// half of them missing.
func TestScheduleOfTwoNetworks(t *testing.T) {
	var b strings.Builder
	b.WriteString("station,valid,sknt\n")
	for h := range 48 {
		for _, m := range []int{0, 20, 50} {
			b.WriteString("X,2023-05-" + pad(1+h/24) + " " + pad(h%24) + ":" + pad(m) + ",10\n")
		}
	}
	s, rep, err := Read(strings.NewReader(b.String()), Options{})
	if err != nil || s.StepS != 1800 || s.Len() != 96 || rep.GapCount != 0 {
		t.Errorf("%v: step %d, %d stamps, %d gaps", err, s.StepS, s.Len(), rep.GapCount)
	}
}
