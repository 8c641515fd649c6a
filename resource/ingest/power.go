package ingest

import (
	"bytes"
	"math"
	"strconv"
	"strings"

	"mastworth/resource"
)

// powerSun are the irradiances by their parameter names.
var powerSun = map[string]resource.Quantity{
	"ALLSKY_SFC_SW_DWN": resource.GlobalHorizontal, "ALLSKY_SFC_SW_DNI": resource.DirectNormal, "ALLSKY_SFC_SW_DIFF": resource.DiffuseHorizontal,
}

// powerUnits are the units of energy over the step, which the service's communities use for irradiance, as the mean
// power in W/m². MJ/hr is from memory.
var powerUnits = map[string]unit{
	"wh/m^2":        {"Wh/m² an hour", irradianceUnit, 0, 1, 1},
	"mj/hr":         {"MJ/m² an hour", irradianceUnit, 0, 1e6, 3600},
	"kw-hr/m^2/day": {"kWh/m² a day", irradianceUnit, 0, 1000, 24},
	"mj/m^2/day":    {"MJ/m² a day", irradianceUnit, 0, 1e6, 86400},
}

// powerHeader is what the block between BEGIN HEADER and END HEADER says.
type powerHeader struct {
	title   string
	lat     float64
	lon     float64
	elevM   float64
	solar   bool   // stamps are local solar time, not UTC
	period  string // of a climatology, in the file's words
	units   map[string]string
	endLine int
}

func looksPowerCSV(head []byte) bool {
	head = head[:min(len(head), 512)]
	return bytes.Contains(head, []byte("-BEGIN HEADER-")) && bytes.Contains(head, []byte("NASA/POWER"))
}

// readPowerCSV reads the hourly and daily answers of NASA POWER: a header block, then columns of year, month, day (or
// day of the year), hour and parameters. Stamps are UTC or local solar time, which the service counts in whole hours of
// longitude/15, and mark the beginning of the step.
func readPowerCSV(in *input) (*resource.Series, error) {
	lx := lexer{src: in.src, delimiter: ','}
	h, err := readPowerHeader(&lx)
	if err != nil {
		return nil, err
	}
	if !lx.next() {
		return nil, &ReadError{Line: h.endLine, Reason: "nothing follows the header", Remedy: "ask the service again"}
	}
	p := h.plan(&lx, in)
	in.rep.HeaderLine = in.src.lineNo
	if err := p.applySpecs(); err != nil {
		return nil, err
	}
	if p.clock.year < 0 || p.clock.yday < 0 && (p.clock.month < 0 || p.clock.day < 0) {
		if in.src.lineNo > 0 && strings.EqualFold(p.sheet.names[0], "PARAMETER") {
			return nil, climatologyError()
		}
		return nil, &ReadError{Line: in.src.lineNo, Reason: "there are no columns of year, month and day: this is no time series",
			Remedy: "ask the service for hourly or daily data"}
	}
	p.pickChannels()
	p.report()
	if len(p.channels) == 0 {
		return nil, p.noChannels()
	}
	const digitsOfValue = 7
	rowBytes := float64(12 + digitsOfValue*len(p.channels))
	g := &loggerFile{plan: p, lx: lx, most: DefaultMaxRows, table: newTable(len(p.channels), in.src.rowsAhead(rowBytes))}
	if in.o.MaxRows > 0 {
		g.most = in.o.MaxRows
	}
	if err := g.rows(); err != nil {
		return nil, err
	}
	s, err := g.finish()
	if err != nil {
		return nil, err
	}
	s.Place, s.Attribution = h.place(), powerAttribution
	in.rep.assume("%s", powerCell)
	return s, nil
}

const (
	powerAttribution = "NASA POWER project, MERRA-2 reanalysis and satellite irradiance"
	powerCell        = "wind and weather are those of a reanalysis cell of 0.5° by 0.625°, not of one place in it"
)

// place is nil where the header does not tell it.
func (h *powerHeader) place() *resource.Place {
	if math.IsNaN(h.lat) || math.IsNaN(h.lon) {
		return nil
	}
	return &resource.Place{Point: [2]float64{h.lon, h.lat}, ElevationM: h.elevM}
}

// clocks are the stamps' clock and local standard time, less UTC, s.
func (h *powerHeader) clocks(in *input) (clock, local int64) {
	if !math.IsNaN(h.lon) {
		local = int64(math.Round(h.lon/15)) * 3600
	}
	if h.solar {
		return local, local
	}
	if in.o.UTCOffsetS == nil {
		in.rep.assume(localByLongitude, offsetWords(local))
	}
	return 0, local
}

// readPowerHeader reads up to END HEADER.
func readPowerHeader(lx *lexer) (*powerHeader, error) {
	const reach = 200
	h := &powerHeader{lat: math.NaN(), lon: math.NaN(), elevM: math.NaN(), units: map[string]string{}}
	for range reach {
		line, ok := lx.src.line()
		if !ok {
			break
		}
		s := strings.TrimSpace(text(line))
		lower := strings.ToLower(s)
		switch {
		case strings.Contains(s, "-END HEADER-"):
			h.endLine = lx.src.lineNo
			return h, nil
		case strings.HasPrefix(s, "NASA/POWER"):
			h.title = s
		case strings.Contains(lower, "climatologies"):
			h.period = inBrackets(s)
		case strings.HasPrefix(lower, "dates"):
			h.solar = strings.HasSuffix(s, "LST")
		case strings.HasPrefix(lower, "location"):
			h.lat, h.lon = numberAfter(lower, "latitude", 90), numberAfter(lower, "longitude", 180)
		case strings.HasPrefix(lower, "elevation"):
			h.elevM = numberAfter(s, "=", 9000)
		default:
			name, rest, _ := strings.Cut(s, " ")
			if i := strings.LastIndexByte(rest, '('); i >= 0 {
				h.units[name] = strings.TrimSuffix(rest[i+1:], ")")
			}
		}
	}
	if err := lx.src.broken(); err != nil {
		return nil, err
	}
	return nil, &ReadError{Line: lx.src.lineNo, Reason: "the header block does not end with -END HEADER-", Remedy: "ask the service again"}
}

// numberAfter reads the number that follows a word; NaN when there is none or it is larger than most.
func numberAfter(s, word string, most float64) float64 {
	_, rest, ok := strings.Cut(s, word)
	fields := strings.Fields(rest)
	if !ok || len(fields) == 0 {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(fields[0], 64)
	if err != nil || !(math.Abs(v) <= most) {
		return math.NaN()
	}
	return v
}

// plan makes the columns of the line of names in lx.
func (h *powerHeader) plan(lx *lexer, in *input) *plan {
	n := min(lx.n, maxColumns)
	sh := &sheet{delimiter: ',', point: '.', fields: n, names: make([]string, n), units: make([]string, n),
		headerLine: lx.src.lineNo, firstData: lx.src.lineNo + 1}
	p := &plan{o: in.o, rep: in.rep, sheet: sh, columns: make([]planned, n), shapes: make([]shape, n), clock: newClock()}
	for i := range n {
		name := strings.TrimSpace(text(lx.field(i)))
		sh.names[i] = name
		c := &p.columns[i].column
		c.heightM = math.NaN()
		switch name {
		case "YEAR":
			p.clock.year = i
		case "MO":
			p.clock.month = i
		case "DY":
			p.clock.day = i
		case "DOY":
			p.clock.yday = i
		case "HR":
			p.clock.hour = i
		default:
			h.describe(c, name)
		}
	}
	k := knownTime{ends: StampsBegin}
	k.clockS, k.localS = h.clocks(in)
	p.known = &k
	return p
}

// describe settles one parameter: WS10M, WD50M, T2M, RH2M, PS and the irradiances. Others, such as daily extremes, are
// not used.
func (h *powerHeader) describe(c *column, name string) {
	if q, ok := powerSun[name]; ok {
		c.quantity = q
		if u, ok := powerUnits[strings.ToLower(h.units[name])]; ok {
			c.unit = &u
		}
	} else if name == "PS" {
		c.quantity = resource.Pressure
	} else {
		letters := strings.TrimRight(strings.TrimSuffix(name, "M"), "0123456789")
		q := map[string]resource.Quantity{"WS": resource.Speed, "WD": resource.Direction, "T": resource.Temperature, "RH": resource.Humidity}[letters]
		height, err := strconv.Atoi(strings.TrimSuffix(strings.TrimPrefix(name, letters), "M"))
		if q == 0 || err != nil || !strings.HasSuffix(name, "M") {
			c.how = "not used: a parameter of no use here"
			return
		}
		c.quantity, c.heightM = q, float64(height)
	}
	if c.unit == nil {
		if u, ok := unitNamed(h.units[name]); ok && u.of == unitOf(c.quantity) {
			c.unit = u
		} else if h.units[name] != "" {
			c.quantity, c.how = 0, "not used: its unit "+strconv.Quote(h.units[name])+" is not understood"
			return
		} else if unitOf(c.quantity) == pressureUnit {
			c.unit, _ = unitNamed("kPa")
		}
	}
	c.how = "by the format"
}
