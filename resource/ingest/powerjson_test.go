package ingest

import (
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"mastworth/resource"
)

// TestPowerJSON reads the real answers; the figures are those of the files.
func TestPowerJSON(t *testing.T) {
	s, rep := readFile(t, shared(t, "data", "nasa_power", "daily_point_ok.json"), Options{})
	if got := show(speedOf(t, s)); got != "speed@2: 4.08 4.31 5.17" {
		t.Error(got)
	}
	// 24.87 MJ/m² a day is a mean of 24.87e6/86400 = 287.847 W/m².
	if got := show(channelOf(t, s, resource.GlobalHorizontal)); got != "global_horizontal: 287.847 279.977 244.907" {
		t.Error(got)
	}
	if got := show(channelOf(t, s, resource.Temperature)); got != "temperature@2: 27.88 28.04 28.45" {
		t.Error(got)
	}
	if s.Kind != resource.Daily || s.UTCOffsetS != -2*3600 || s.Place.ElevationM != 12.7 || s.Place.Point.Lat() != -10.95 || clockText(s.Times[0]) != "2024-01-01 02:00" {
		t.Errorf("kind %d, offset %d, %v, first %s", s.Kind, s.UTCOffsetS, s.Place, clockText(s.Times[0]))
	}
	if !strings.Contains(strings.Join(rep.Assumptions, "\n"), "too smooth") {
		t.Error("nothing says that days are too smooth for a distribution of speeds")
	}
	s, _ = readFile(t, shared(t, "data", "nasa_power", "daily_point_fill_value.json"), Options{})
	if got := show(&s.Channels[0]); got != "temperature@2: 26 25.93 25.86 25.99 26.05 26.22 26.32 - - -" {
		t.Error(got)
	}
}

// powerJSONText tells rows as either version of the service does.
func powerJSONText(old bool, standard string, keys []string, values map[string][]float64) string {
	var parameters, units []string
	for name, v := range values {
		var pairs []string
		for i, k := range keys {
			pairs = append(pairs, fmt.Sprintf("%q: %g", k, v[i]))
		}
		parameters = append(parameters, fmt.Sprintf("%q: {%s}", name, strings.Join(pairs, ",\n ")))
		units = append(units, fmt.Sprintf(`%q: {"units": %q}`, name, map[bool]string{true: "m/s", false: "C"}[strings.HasPrefix(name, "WS")]))
	}
	feature := `"geometry": {"coordinates": [120.0, 24.3415, 3.5]}, "properties": {"parameter": {` + strings.Join(parameters, ", ") + "}}"
	if old {
		return `{"features": [{` + feature + `}], "header": {"fillValue": "-999", "title": "NASA/POWER", "time-standard": "` + standard +
			`"}, "parameterInformation": {` + strings.Join(units, ", ") + "}}"
	}
	return `{"type": "Feature", ` + feature + `, "header": {"fill_value": -999.0, "title": "NASA/POWER", "time_standard": "` + standard +
		`"}, "parameters": {` + strings.Join(units, ", ") + "}}"
}

// TestPowerFormsAgree: an answer says the same as CSV, as JSON and as older JSON.
func TestPowerFormsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		standard := rapid.SampledFrom([]string{"UTC", "LST"}).Draw(t, "standard")
		n := rapid.IntRange(2, 50).Draw(t, "hours")
		values := map[string][]float64{"WS50M": nil, "T2M": nil}
		var keys []string
		csv := "-BEGIN HEADER-\nNASA/POWER Source Native Resolution Hourly Data\nDates (month/day/year): 01/01/2020 through 01/31/2020 in " + standard +
			"\nLocation: Latitude  24.3415   Longitude 120.0\nElevation from MERRA-2: Average = 3.5 meters\nParameter(s):\nWS50M     Wind (m/s)\n" +
			"T2M     Temperature (C)\n-END HEADER-\nYEAR,MO,DY,HR,T2M,WS50M\n"
		for i := range n {
			v, c := float64(rapid.IntRange(0, 3000).Draw(t, "v"))/100, float64(rapid.IntRange(-3000, 4000).Draw(t, "c"))/100
			if rapid.IntRange(0, 9).Draw(t, "missing") == 0 {
				v = -999
			}
			values["WS50M"], values["T2M"] = append(values["WS50M"], v), append(values["T2M"], c)
			keys = append(keys, fmt.Sprintf("202001%02d%02d", 1+i/24, i%24))
			csv += fmt.Sprintf("2020,1,%d,%d,%g,%g\n", 1+i/24, i%24, c, v)
		}
		want, _, err := Read(strings.NewReader(csv), Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, old := range []bool{false, true} {
			got, rep, err := Read(strings.NewReader(powerJSONText(old, standard, keys, values)), Options{})
			if err != nil {
				t.Fatalf("%v %+v", err, rep)
			}
			if !sameSeries(got, want) || fmt.Sprint(*got.Place) != fmt.Sprint(*want.Place) {
				t.Fatalf("old %t: %v\n%v", old, got, want)
			}
		}
	})
}

func TestPowerJSONTraps(t *testing.T) {
	keys := []string{"2020010100", "2020010101", "2020010124", "2020013200"}
	good := powerJSONText(false, "UTC", keys, map[string][]float64{"WS10M": {1, 2, 3, 4}})
	s, rep, err := Read(strings.NewReader(good), Options{})
	if err != nil || s.Len() != 2 || rep.ProblemCounts[ProblemStamp] != 2 {
		t.Errorf("%v %+v", err, rep)
	}
	cases := map[string]string{
		"cut":            good[:len(good)/2],
		"other keys":     strings.Replace(good, "2020010100", "monday", 1),
		"mixed keys":     strings.Replace(good, "2020010100", "20200101", 1),
		"words":          strings.Replace(good, ": 1,", `: "calm",`, 1),
		"a list":         `{"properties":{"parameter":{"WS10M":[1,2]}},"header":{}}`,
		"no use":         `{"properties":{"parameter":{"PRECTOTCORR":{"20200101":1}}},"header":{}}`,
		"no dates":       `{"properties":{"parameter":{"WS10M":{}}},"header":{}}`,
		"monthly":        strings.NewReplacer("2020010100", "202001", "2020010101", "202002", "2020010124", "202003", "2020013200", "202004").Replace(good),
		"several places": `{"features":[{},{}],"properties":{"parameter":0},"header":"POWER"}`,
	}
	for name, text := range cases {
		var re *ReadError
		if _, _, err := Read(strings.NewReader(text), Options{}); !errors.As(err, &re) || re.Remedy == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestClimatology(t *testing.T) {
	f, err := os.Open(shared(t, "data", "nasa_power", "climatology_ag_point.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c, rep, err := ReadClimatology(f)
	if err != nil {
		t.Fatalf("%v %+v", err, rep)
	}
	if c.MonthlyTemperatureC[0] != -29.27 || c.MonthlyTemperatureC[11] != -28.55 || c.Place.Point.Lat() != -89.5 || !math.IsNaN(c.MonthlyGHIKWhM2[0]) {
		t.Errorf("%+v", c)
	}
	if _, err := f.Seek(0, 0); err != nil {
		t.Fatal(err)
	}
	if _, _, err := Read(f, Options{}); !errors.Is(err, ErrClimatology) {
		t.Errorf("as a record: %v", err)
	}
	// The file's own header: "20-year … Climatologies (January 2001 - December 2020)"; it has the temperature alone.
	if c.Period != "January 2001 - December 2020" {
		t.Errorf("period %q", c.Period)
	}
	if _, err := c.Irradiation(); err == nil || !strings.Contains(err.Error(), "month 1") {
		t.Errorf("irradiation out of nothing: %v", err)
	}
	months := `"JAN":1,"FEB":2,"MAR":3,"APR":4,"MAY":5,"JUN":6,"JUL":7,"AUG":6,"SEP":5,"OCT":4,"NOV":3,"DEC":-999,"ANN":4`
	text := `{"geometry":{"coordinates":[10,50,100]},"properties":{"parameter":{"WS50M":{` + months + `},"WS10M":{` + months +
		`},"ALLSKY_SFC_SW_DWN":{` + months + `}}},"header":{"fill_value":-999},"parameters":{"WS50M":{"units":"m/s"},"WS10M":{"units":"m/s"},` +
		`"ALLSKY_SFC_SW_DWN":{"units":"kW-hr/m^2/day"}}}`
	if c, rep, err = ReadClimatology(strings.NewReader(text)); err != nil {
		t.Fatalf("%v %+v", err, rep)
	}
	// A day's 1 kWh/m² is 31 in January; 2 are 56.5 in a February of 28.25 days; 6 are 180 in June.
	for i, want := range map[int]float64{0: 31, 1: 56.5, 5: 180} {
		near(t, "irradiation", c.MonthlyGHIKWhM2[i], want, 1e-9)
	}
	if !math.IsNaN(c.MonthlyGHIKWhM2[11]) || len(c.MonthlyWindMS) != 2 || c.MonthlyWindMS[0].HeightM != 10 || c.MonthlyWindMS[1].MeanMS[6] != 7 {
		t.Errorf("%+v", c)
	}
	if _, _, err := Read(strings.NewReader(text), Options{}); !errors.Is(err, ErrClimatology) {
		t.Errorf("as a record: %v", err)
	}
	// 7.2 MJ/m² a day are 2 kWh/m² a day.
	csv := "-BEGIN HEADER-\nNASA/POWER Climatology\nALLSKY_SFC_SW_DWN  Irradiance (MJ/m^2/day)\n-END HEADER-\nPARAMETER,JAN,FEB,MAR,APR,MAY,JUN,JUL,AUG,SEP,OCT,NOV,DEC,ANN\n" +
		"ALLSKY_SFC_SW_DWN,7.2,0,0,0,0,0,0,0,0,0,0,0,0\n"
	if c, _, err = ReadClimatology(strings.NewReader(csv)); err != nil {
		t.Fatal(err)
	}
	near(t, "from MJ", c.MonthlyGHIKWhM2[0], 62, 1e-9)
	got, err := c.Irradiation()
	if words := IrradiationWords(got); err != nil || words != "solar: {monthly_irradiation_kwh_m2: [62, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]}" {
		t.Errorf("%v, %s", err, words)
	}
	c.MonthlyGHIKWhM2[6] = 401
	if _, err := c.Irradiation(); err == nil || !strings.Contains(err.Error(), "month 7") {
		t.Errorf("401 kWh/m² in a month: %v", err)
	}
	for _, text := range []string{"", "time,ws\n2020-01-01,1\n", "<html>", "-BEGIN HEADER-\nNASA/POWER x\n-END HEADER-\nYEAR,MO,DY,WS10M\n2020,1,1,2\n"} {
		var re *ReadError
		if _, _, err := ReadClimatology(strings.NewReader(text)); !errors.As(err, &re) {
			t.Errorf("%q: %v", text, err)
		}
	}
}
