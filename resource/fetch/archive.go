package fetch

import (
	"bytes"
	"fmt"
	"math"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Archive names a public archive, as on the command line and on the wire.
type Archive string

// The archives.
const (
	NASAPower      Archive = "nasa_power"      // reanalysis and satellite, hourly, by coordinate; wind at 10 m and 50 m
	OpenMeteo      Archive = "open_meteo"      // reanalysis, hourly, by coordinate; wind at 10 m and 100 m
	ISDLite        Archive = "isd_lite"        // weather stations, hourly extract
	ISDHourly      Archive = "isd"             // weather stations, every report
	GHCNHourly     Archive = "ghcn_hourly"     // weather stations, merged anew from several sources
	AirportReports Archive = "airport_reports" // airports' routine reports
)

// archive is what is known about one.
type archive struct {
	name        Archive
	first       int     // year it begins with
	lagDays     int     // how many days it is behind
	cellLatDeg  float64 // cell of the grid, degrees; 0: stations
	cellLonDeg  float64
	heightsM    []float64 // of its wind above ground
	attribution string
	licence     string
	source      string // what the data are
	format      string // the reader; empty: found from the content
	extraDay    bool   // a year is asked for with one day more, which the reader needs to fill its last hour
	base        func(*Sources) string
	address     func(base string, a *ask) string
	looks       func(head []byte) bool
}

// ask is what goes into a request for a year.
type ask struct {
	lat, lon float64
	station  string
	year     int
	from, to time.Time // first and last day
}

var archives = []archive{
	{
		name: OpenMeteo, first: 1940, lagDays: 7, cellLatDeg: 0.25, cellLonDeg: 0.25, heightsM: []float64{10, 100},
		attribution: "Weather data by Open-Meteo.com; contains modified Copernicus Climate Change Service information (ERA5)",
		licence:     "data CC BY 4.0; the free service is for non-commercial use",
		source:      "ERA5 reanalysis (Hersbach et al. 2020), hourly",
		format:      "open_meteo_json", extraDay: true, base: func(s *Sources) string { return s.OpenMeteo }, address: openMeteoAddress, looks: looksHourlyJSON,
	},
	{
		name: NASAPower, first: 2001, lagDays: 7, cellLatDeg: 0.5, cellLonDeg: 0.625, heightsM: []float64{10, 50},
		attribution: "NASA POWER project, MERRA-2 reanalysis and satellite irradiance",
		licence:     "public domain; the project asks to be named",
		source:      "MERRA-2 reanalysis (Gelaro et al. 2017) and satellite irradiance on a grid of 1°, hourly",
		format:      "nasa_power_csv", base: func(s *Sources) string { return s.NASAPower }, address: powerAddress, looks: looksPower,
	},
	{
		name: ISDLite, first: 1901, lagDays: 7, heightsM: []float64{10}, attribution: "NOAA National Centers for Environmental Information, Integrated Surface Database",
		licence: "US government work, public domain", source: "weather station, hourly or three-hourly observations",
		format: "isd_lite", base: func(s *Sources) string { return s.ISDLite }, address: liteAddress, looks: looksLite,
	},
	{
		name: ISDHourly, first: 1901, lagDays: 7, heightsM: []float64{10}, attribution: "NOAA National Centers for Environmental Information, Integrated Surface Database",
		licence: "US government work, public domain", source: "weather station, every report",
		base: func(s *Sources) string { return s.ISDHourly }, address: isdAddress, looks: looksISDTable,
	},
	{
		name: GHCNHourly, first: 1790, lagDays: 7, heightsM: []float64{10}, attribution: "NOAA National Centers for Environmental Information, Global Historical Climatology Network hourly",
		licence: "US government work, public domain", source: "weather station, hourly observations merged from several sources",
		base: func(s *Sources) string { return s.GHCNHourly }, address: ghcnAddress, looks: looksGHCN,
	},
	{
		name: AirportReports, first: 1928, lagDays: 1, heightsM: []float64{10}, attribution: "airport reports archived by Iowa State University, Iowa Environmental Mesonet",
		licence: "observations of public weather services; the archive asks to be named", source: "an airport's routine reports",
		base: func(s *Sources) string { return s.AirportReports }, address: airportAddress, looks: looksAirport,
	},
}

// Archives lists the names, in the order in which they are looked at.
func Archives() []Archive {
	names := make([]Archive, len(archives))
	for i := range archives {
		names[i] = archives[i].name
	}
	return names
}

// archiveNamed finds one, or says which there are.
func archiveNamed(name Archive) (*archive, error) {
	for i := range archives {
		if archives[i].name == name {
			return &archives[i], nil
		}
	}
	return nil, &Error{Kind: ErrSource, Reason: fmt.Sprintf("there is no archive %q", name), Remedy: fmt.Sprintf("there are %v", Archives())}
}

// stations says whether the archive is one of stations rather than of cells.
func (a Archive) stations() bool { return a != NASAPower && a != OpenMeteo }

// cellKM is the north-south and the east-west side of the archive's cell at a latitude, km; NaN for stations. A degree of
// latitude is 111.2 km on the mean sphere of 6371 km.
func (a *archive) cellKM(lat float64) (north, east float64) {
	const degree = math.Pi / 180 * 6371
	if a.cellLatDeg == 0 {
		return math.NaN(), math.NaN()
	}
	return a.cellLatDeg * degree, a.cellLonDeg * degree * max(0, math.Cos(lat*math.Pi/180))
}

func powerAddress(base string, a *ask) string {
	return base + "?" + url.Values{
		"parameters": {"WS10M,WD10M,WS50M,WD50M,T2M,RH2M,PS,ALLSKY_SFC_SW_DWN,ALLSKY_SFC_SW_DNI,ALLSKY_SFC_SW_DIFF"},
		"community":  {"RE"}, "latitude": {degrees(a.lat)}, "longitude": {degrees(a.lon)},
		"start": {a.from.Format("20060102")}, "end": {a.to.Format("20060102")}, "format": {"CSV"}, "time-standard": {"UTC"},
	}.Encode()
}

func openMeteoAddress(base string, a *ask) string {
	return base + "?" + url.Values{
		"latitude": {degrees(a.lat)}, "longitude": {degrees(a.lon)},
		"start_date": {a.from.Format(time.DateOnly)}, "end_date": {a.to.Format(time.DateOnly)},
		"hourly": {"wind_speed_10m,wind_speed_100m,wind_direction_10m,wind_direction_100m,wind_gusts_10m,temperature_2m,relative_humidity_2m," +
			"surface_pressure,shortwave_radiation,direct_normal_irradiance,diffuse_radiation"},
		"wind_speed_unit": {"ms"}, "timezone": {"GMT"}, "format": {"json"},
	}.Encode()
}

func liteAddress(base string, a *ask) string {
	return fmt.Sprintf("%s/%d/%s-%d.gz", base, a.year, a.station, a.year)
}

func isdAddress(base string, a *ask) string {
	return fmt.Sprintf("%s/%d/%s.csv", base, a.year, strings.ReplaceAll(a.station, "-", ""))
}

func ghcnAddress(base string, a *ask) string {
	return fmt.Sprintf("%s/%d/psv/GHCNh_%s_%d.psv", base, a.year, a.station, a.year)
}

// airportAddress asks for routine reports alone (report_type 3; from memory), for special ones come in bad weather and
// would weigh it too much. The archive's second date is not included (from memory).
func airportAddress(base string, a *ask) string {
	date := func(v url.Values, n string, t time.Time) {
		v.Set("year"+n, strconv.Itoa(t.Year()))
		v.Set("month"+n, strconv.Itoa(int(t.Month())))
		v.Set("day"+n, strconv.Itoa(t.Day()))
	}
	v := url.Values{
		"station": {a.station}, "data": {"sknt", "drct", "gust", "tmpf", "alti"}, "tz": {"Etc/UTC"}, "format": {"onlycomma"},
		"missing": {"M"}, "trace": {"T"}, "latlon": {"no"}, "report_type": {"3"},
	}
	date(v, "1", a.from)
	date(v, "2", a.to.AddDate(0, 0, 1))
	return base + "?" + v.Encode()
}

// degrees writes a rounded coordinate without an exponent.
func degrees(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func looksPower(head []byte) bool {
	return bytes.Contains(head[:min(len(head), 1024)], []byte("-BEGIN HEADER-"))
}

func looksHourlyJSON(head []byte) bool {
	return bytes.HasPrefix(bytes.TrimSpace(head), []byte("{")) && bytes.Contains(head, []byte(`"hourly"`)) && bytes.Contains(head, []byte(`"latitude"`))
}

var liteLine = regexp.MustCompile(`^\d{4} [ \d]\d [ \d]\d [ \d]\d +-?\d+ `)

func looksLite(head []byte) bool { return liteLine.Match(head) }

// firstLine is the first line that is no comment, in small letters.
func firstLine(head []byte) string {
	for line := range bytes.Lines(head) {
		line = bytes.TrimSpace(line)
		if len(line) > 0 && line[0] != '#' {
			return strings.ToLower(string(line))
		}
	}
	return ""
}

// columnsIn says whether the first line has all these columns.
func columnsIn(head []byte, separator string, names ...string) bool {
	fields := strings.Split(firstLine(head), separator)
	for i := range fields {
		fields[i] = strings.Trim(fields[i], "\" \ufeff")
	}
	return !slices.ContainsFunc(names, func(n string) bool { return !slices.Contains(fields, n) })
}

func looksISDTable(head []byte) bool { return columnsIn(head, ",", "station", "date", "wnd") }
func looksGHCN(head []byte) bool     { return columnsIn(head, "|", "year", "month", "hour", "wind_speed") }
func looksAirport(head []byte) bool  { return columnsIn(head, ",", "station", "valid", "sknt") }
func looksStationList(head []byte) bool {
	return columnsIn(head, ",", "usaf", "wban", "lat", "lon")
}
