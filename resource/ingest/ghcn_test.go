package ingest

import (
	"strings"
	"testing"

	"mastworth/resource"
)

// ghcnText writes rows under one of the two headers that live side by side, with six columns for each element, most of
// them empty.
func ghcnText(long bool, rows ...map[string]string) string {
	head := []string{"Station_ID", "Station_name", "Year", "Month", "Day", "Hour", "Minute", "Latitude", "Longitude", "Elevation"}
	if long {
		head = []string{"STATION", "Station_name", "DATE", "Year", "Month", "Day", "Hour", "Minute", "LATITUDE", "LONGITUDE", "ELEVATION"}
	}
	for _, e := range []string{"temperature", "dew_point_temperature", "station_level_pressure", "sea_level_pressure", "wind_direction", "wind_speed",
		"wind_gust", "precipitation", "relative_humidity", "altimeter"} {
		for _, suffix := range []string{"", "_Measurement_Code", "_Quality_Code", "_Report_Type", "_Source_Code", "_Source_Station_ID"} {
			head = append(head, e+suffix)
		}
	}
	var b strings.Builder
	b.WriteString(strings.Join(head, "|") + "\n")
	for i, row := range rows {
		for j, name := range head {
			if j > 0 {
				b.WriteByte('|')
			}
			v := row[name]
			switch strings.ToLower(name) {
			case "station", "station_id":
				v = "XXI0000A001"
			case "year":
				v = "2020"
			case "month", "day":
				v = "01"
			case "hour":
				v = pad(i)
			case "minute":
				v = "53"
			case "latitude":
				v = "40.0"
			case "longitude":
				v = "-105.0"
			case "elevation":
				v = "1609.344"
			case "date":
				v = "2020-01-01T" + pad(i) + ":53:00"
			}
			b.WriteString(v)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func TestGHCN(t *testing.T) {
	rows := []map[string]string{
		{"wind_speed": "5.1", "wind_speed_Quality_Code": "1", "wind_direction": "360", "temperature": "-1.1", "station_level_pressure": "838.3",
			"relative_humidity": "50", "sea_level_pressure": "1013.2", "altimeter": "1013.2"},
		{"wind_speed": "9.9", "wind_speed_Quality_Code": "7", "wind_direction": "090", "temperature": "99.0", "temperature_Quality_Code": "o",
			"altimeter": "1013.2", "wind_gust": "15.4"},
		{"wind_speed": "", "wind_speed_Measurement_Code": "C-Calm", "wind_direction": "000", "temperature": "abc"},
		{"wind_speed": "999.9", "wind_direction": "999"},
	}
	for _, long := range []bool{false, true} {
		s, rep, err := Read(strings.NewReader(ghcnText(long, rows...)), Options{})
		if err != nil {
			t.Fatalf("%v %+v", err, rep)
		}
		checkSeries(t, s)
		for i, want := range []string{"speed@10: 5.1 9.9 0 -", "direction@10: 0 90 - -", "gust@10: - 15.4 - -", "temperature: -1.1 99 - -",
			"pressure: 83830 83446.5 - -"} { // the second from the altimeter setting, as in the shared reference, 834.51 hPa at 1013.25 hPa
			got := show(&s.Channels[i])
			if got != want {
				t.Errorf("long %t: %s, want %s", long, got, want)
			}
		}
		if got := show(channelOf(t, s, resource.Humidity)); got != "humidity: 0.5 - - -" {
			t.Error(got)
		}
		if f := s.Channels[0].Flags; f == nil || f[0] != 0 || f[1] != resource.FlagSource {
			t.Errorf("flags of the speed %v", f)
		}
		if f := channelOf(t, s, resource.Temperature).Flags; f == nil || f[1] != resource.FlagSource {
			t.Errorf("flags of the temperature %v", f)
		}
		if s.UTCOffsetS != -7*3600 || clockText(s.Times[0]) != "2020-01-01 00:53" || s.SourceFormat != "ghcn_hourly" || rep.ProblemCount != 1 {
			t.Errorf("offset %d, first %s, problems %v", s.UTCOffsetS, clockText(s.Times[0]), rep.ProblemCounts)
		}
	}
}
