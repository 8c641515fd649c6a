package ingest

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"mastworth/resource"
)

// TestTypicalYearsAgree reads JFK's typical year in both formats: the EPW was made from the TMY3, so the wind must be
// the same to the last digit, and so must pressure, temperature, humidity and place.
func TestTypicalYearsAgree(t *testing.T) {
	epw, _ := readFile(t, shared(t, "data", "epw", "USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw"), Options{})
	tmy, _ := readFile(t, shared(t, "data", "tmy3", "744860TYA.CSV"), Options{})
	if epw.Len() != 8760 || tmy.Len() != 8760 {
		t.Fatalf("%d and %d hours", epw.Len(), tmy.Len())
	}
	if epw.UTCOffsetS != -5*3600 || tmy.UTCOffsetS != epw.UTCOffsetS || *tmy.Place != *epw.Place {
		t.Errorf("offsets %d, %d; places %v, %v", epw.UTCOffsetS, tmy.UTCOffsetS, epw.Place, tmy.Place)
	}
	for i := range epw.Times {
		if epw.Times[i] != tmy.Times[i] {
			t.Fatalf("stamp %d: %d and %d", i, epw.Times[i], tmy.Times[i])
		}
	}
	for _, q := range []resource.Quantity{resource.Speed, resource.Direction, resource.Temperature, resource.Pressure, resource.Humidity} {
		a, b := channelOf(t, epw, q), channelOf(t, tmy, q)
		for i := range a.Values {
			if math.Float64bits(a.Values[i]) != math.Float64bits(b.Values[i]) {
				t.Errorf("%s of hour %d: %v in the EPW, %v in the TMY3", q, i, a.Values[i], b.Values[i])
				break
			}
		}
	}
	// Local standard midnight of 1 January 2001 begins the year.
	if first := time.Unix(epw.Times[0]+epw.UTCOffsetS, 0).UTC().Format(time.RFC3339); first != "2001-01-01T00:00:00Z" {
		t.Errorf("the year begins at %s local", first)
	}
	// The sun of 1 January is up in the middle of the day, so the hours are not shifted: GHI of both files is the same
	// within a few W/m² of rounding and peaks near noon.
	ghi := channelOf(t, epw, resource.GlobalHorizontal).Values
	noon := 0
	for h := range 24 {
		if sumEvery(ghi, h, 24) > sumEvery(ghi, noon, 24) {
			noon = h
		}
	}
	if noon != 11 && noon != 12 {
		t.Errorf("the sun is highest in the hour beginning at %d", noon)
	}
}

func sumEvery(v []float64, from, step int) float64 {
	sum := 0.0
	for i := from; i < len(v); i += step {
		sum += v[i]
	}
	return sum
}

func channelOf(t *testing.T, s *resource.Series, q resource.Quantity) *resource.Channel {
	t.Helper()
	for i := range s.Channels {
		if s.Channels[i].Quantity == q {
			return &s.Channels[i]
		}
	}
	t.Fatalf("no channel of %s", q)
	return nil
}

// epwHead is the header of an invented place.
const epwHead = `LOCATION,Orchard End,-,XXX,invented,000000,52.21,-1.44,0.0,96.0
DESIGN CONDITIONS,0
TYPICAL/EXTREME PERIODS,0
GROUND TEMPERATURES,0
HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0
COMMENTS 1,invented
COMMENTS 2,
DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31
`

func epwLine(year, month, day, hour int, dry, speed string) string {
	return fmt.Sprintf("%d,%d,%d,%d,60,?9?9,%s,1.0,80,101325,0,0,300,0,0,0,0,0,0,0,210,%s,9,9,20.0,77777,9,999999999,100,0.1,0,88,0.2,0.0,1.0\n",
		year, month, day, hour, dry, speed)
}

func TestEPWTraps(t *testing.T) {
	text := epwHead + epwLine(1996, 2, 28, 24, "99.9", "3.5") + epwLine(1996, 2, 29, 1, "5", "9.9") + epwLine(1999, 3, 1, 1, "5.0", "999") +
		epwLine(1999, 3, 1, 25, "5", "1") + "1999,3,1,3,60,?9,5.0\n" + epwLine(1999, 3, 1, 4, "warm", "4.0") + "1999,3,1,5,60,?9?9,5.0,1.0,80,10"
	s, rep, err := Read(strings.NewReader(text), Options{})
	if err != nil {
		t.Fatal(err)
	}
	checkSeries(t, s)
	want := map[string]int64{ProblemLeapDay: 1, ProblemStamp: 1, ProblemShortRow: 1, ProblemNumber: 1, ProblemCutRow: 1}
	if fmt.Sprint(rep.ProblemCounts) != fmt.Sprint(want) {
		t.Errorf("problems %v, want %v", rep.ProblemCounts, want)
	}
	if got := show(&s.Channels[0]); got != "speed@10: 3.5 - - 4" {
		t.Errorf("%s", got)
	}
	if got := show(channelOf(t, s, resource.Temperature)); got != "temperature: - 5 5 -" {
		t.Errorf("%s", got)
	}
	if s.Kind != resource.TypicalYear || s.StepS != 3600 || s.Place.ElevationM != 96 || s.Place.Point.Lat() != 52.21 {
		t.Errorf("kind %d, step %d, place %v", s.Kind, s.StepS, s.Place)
	}
	for _, p := range rep.Problems {
		if p.Line < 9 {
			t.Errorf("%+v stands in the header", p)
		}
	}
}

func TestEPWSubHourly(t *testing.T) {
	text := strings.Replace(epwHead, "DATA PERIODS,1,1", "DATA PERIODS,1,2", 1)
	for h := 1; h <= 2; h++ {
		for _, m := range []int{30, 60} {
			text += strings.Replace(epwLine(1999, 1, 1, h, "5", "3"), ",60,", fmt.Sprintf(",%d,", m), 1)
		}
	}
	s, rep, err := Read(strings.NewReader(text), Options{})
	if err != nil || s.StepS != 1800 || s.Len() != 4 || s.Times[1]-s.Times[0] != 1800 || rep.ProblemCount != 0 {
		t.Fatalf("%v %+v", err, rep)
	}
}

// tmyHead is the header of an invented station with the columns that are read.
const tmyHead = "000001,\"ORCHARD END\",XX,-5,40.5,-75.25,12%s\n" +
	"Date (MM/DD/YYYY),Time (HH:MM),ETR (W/m^2),GHI (W/m^2),Dry-bulb (C),Pressure (mbar),Wdir (degrees),Wspd (m/s),Wspd source,RHum (%%)%s\n"

func TestTMY3Variants(t *testing.T) {
	published := fmt.Sprintf(tmyHead, "", "") + "01/01/1988,01:00,0,5,-4.4,1018,260,7.2,A,65\n01/01/1988,24:00,0,0,-5,1017,0,0.0,A,-9900\n"
	resaved := fmt.Sprintf(tmyHead, ",,,", ",") + "1/1/1988,1:00,0,5,-4.4,1018,260,7.2,A,65,268.6\n1/1/1988,24:00:00,0,0,-5,1017,0,0,A,-9900,\n"
	european := strings.NewReplacer(",", ";").Replace(published)
	for name, text := range map[string]string{"published": published, "resaved": resaved, "semicolons": european} {
		s, rep, err := Read(strings.NewReader(text), Options{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		checkSeries(t, s)
		if rep.ProblemCount != 0 || rep.Kept != 2 || s.SourceFormat != "tmy3" {
			t.Errorf("%s: %+v", name, rep)
		}
		var got []string
		for i := range s.Channels {
			got = append(got, show(&s.Channels[i]))
		}
		want := "speed@10: 7.2 0;direction@10: 260 0;temperature: -4.4 -5;pressure: 101800 101700;humidity: 0.65 -;global_horizontal: 5 0"
		if strings.Join(got, ";") != want {
			t.Errorf("%s: %s, want %s", name, strings.Join(got, ";"), want)
		}
		local := func(i int) string { return clockText(s.Times[i] + s.UTCOffsetS) }
		if local(0) != "2001-01-01 00:00" || local(1) != "2001-01-01 23:00" || s.UTCOffsetS != -18000 {
			t.Errorf("%s: %s, %s", name, local(0), local(1))
		}
	}
}

func TestISDLiteTraps(t *testing.T) {
	text := "2015 01 01 00    79    61 10032   229   134 -9999     9    50\n" +
		"2015 01 01 01 -9999 -9999 -9999 -9999 -9999 -9999 -9999 -9999\n" +
		"2015 13 01 02    79    61 10032   229   134 -9999     9    50\n" +
		"2015 01 01 04    78    61 10032   xyz     0 -9999     9    50\n" +
		"2015 01 01 05    7"
	s, rep, err := Read(strings.NewReader(text), Options{UTCOffsetS: hours(1)})
	if err != nil {
		t.Fatal(err)
	}
	checkSeries(t, s)
	want := map[string]int64{ProblemStamp: 1, ProblemNumber: 1, ProblemCutRow: 1}
	if fmt.Sprint(rep.ProblemCounts) != fmt.Sprint(want) || rep.MissingStamps != 2 || rep.GapCount != 1 {
		t.Errorf("%+v", rep)
	}
	if got := show(&s.Channels[0]) + ";" + show(&s.Channels[1]) + ";" + show(&s.Channels[2]); got != "speed@10: 13.4 - 0;direction@10: 229 - -;temperature: 7.9 - 7.8" {
		t.Error(got)
	}
	if len(s.Channels) != 3 || s.UTCOffsetS != 3600 {
		t.Errorf("%d channels, offset %d", len(s.Channels), s.UTCOffsetS)
	}
	if !strings.Contains(strings.Join(rep.Assumptions, " "), "sea level") {
		t.Error("nothing is said of the pressure")
	}
}

// TestISDLiteOneRow reads the shortest file there is: one row, without wind.
func TestISDLiteOneRow(t *testing.T) {
	s, rep := readFile(t, shared(t, "data", "isd_lite", "997726-99999-2009"), Options{})
	if s.Len() != 1 || rep.ProblemCount != 0 || show(channelOf(t, s, resource.Temperature)) != "temperature: 15.3" {
		t.Errorf("%+v", rep)
	}
}

// TestFixedFormatRefusals breaks headers.
func TestFixedFormatRefusals(t *testing.T) {
	for name, text := range map[string]string{
		"EPW without numbers":  "LOCATION,a,b,c,d,e,f\n",
		"EPW latitude":         strings.Replace(epwHead, "52.21", "152.21", 1) + epwLine(1999, 1, 1, 1, "1", "1"),
		"EPW without rows":     epwHead,
		"EPW cut in header":    epwHead[:200],
		"EPW rows an hour":     strings.Replace(epwHead, "DATA PERIODS,1,1", "DATA PERIODS,1,7", 1),
		"TMY3 without place":   "1,x,y\nDate (MM/DD/YYYY),Time (HH:MM),Wspd (m/s)\n",
		"TMY3 without rows":    fmt.Sprintf(tmyHead, "", ""),
		"POWER without end":    "-BEGIN HEADER-\nNASA/POWER x\n",
		"POWER without table":  "-BEGIN HEADER-\nNASA/POWER x\n-END HEADER-\n",
		"POWER climatology":    "-BEGIN HEADER-\nNASA/POWER x\n-END HEADER-\nPARAMETER,JAN\nT2M,1\n",
		"Open-Meteo's error":   `{"error":true,"reason":"Parameter 'x' is invalid"}`,
		"Open-Meteo cut":       `{"hourly_units":{"time":"iso8601"},"hourly":{"time":["2023-`,
		"Open-Meteo daily":     `{"daily_units":{},"daily":{"time":[]}}`,
		"Open-Meteo lengths":   `{"hourly_units":{},"hourly":{"time":["2023-01-01T00:00"],"wind_speed_10m":[1,2]}}`,
		"Open-Meteo no stamps": `{"hourly_units":{},"hourly":{"wind_speed_10m":[1,2]}}`,
	} {
		_, _, err := Read(strings.NewReader(text), Options{})
		var re *ReadError
		if !errors.As(err, &re) || re.Reason == "" || re.Remedy == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}
