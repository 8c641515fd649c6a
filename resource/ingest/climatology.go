package ingest

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"mastworth/resource"
)

// ErrClimatology says that the content is a climatology: twelve monthly means over many years, and no record over time.
// It comes wrapped in a *ReadError. ReadClimatology reads it.
var ErrClimatology = errors.New("a climatology, not a record")

func climatologyError() error {
	return &ReadError{
		Reason: "the content is a climatology: twelve monthly means over many years, and no record over time",
		Remedy: "its months of global irradiation, in kWh/m², can be given as solar.monthly_irradiation_kwh_m2; for the wind ask the service for hourly data, since energy needs the speeds themselves",
		err:    ErrClimatology,
	}
}

// Climatology holds monthly means over many years, January first; NaN where the file does not tell them. A mean speed
// says little of the energy in a wind, which goes with its cube: this is no wind record.
type Climatology struct {
	Place               *resource.Place // nil where the file does not say
	Period              string          // the years it is of, as the file tells them; empty where it does not
	MonthlyGHIKWhM2     [12]float64     // global irradiation on the horizontal, kWh/m² in the month
	MonthlyDNIKWhM2     [12]float64     // direct irradiation on a plane facing the sun, kWh/m² in the month
	MonthlyDHIKWhM2     [12]float64     // diffuse irradiation on the horizontal, kWh/m² in the month
	MonthlyTemperatureC [12]float64     // air temperature 2 m above ground, °C
	MonthlyPressurePa   [12]float64     // station pressure, Pa
	MonthlyWindMS       []MonthlyWind   // by height, lowest first; empty where the file has none
	Attribution         string          // what the publisher asks to be said
}

// MonthlyWind is the mean wind speed of each month at one height.
type MonthlyWind struct {
	HeightM float64     // above ground, m
	MeanMS  [12]float64 // m/s, NaN where missing
}

// climatologyDays are the months' lengths, 29 February counted every fourth year.
var climatologyDays = [12]float64{31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

var climatologyMonths = [12]string{"JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC"}

// ReadClimatology reads a climatology of NASA POWER, CSV or JSON, compressed or not. Errors are as with Read; content
// that is no climatology is a *ReadError. The Report lists the parameters as columns.
func ReadClimatology(r io.Reader) (Climatology, Report, error) {
	rep, o := Report{}, Options{}
	c := newClimatology()
	src, member, err := unwrap(newSource(r, &o), &o)
	if err != nil {
		return c, rep, err
	}
	rep.Member = member
	head, err := src.peek(headBytes)
	if err != nil {
		return c, rep, err
	}
	in := &input{src: src, o: &o, rep: &rep}
	switch {
	case looksPowerCSV(head):
		rep.Format = "nasa_power_csv"
		err = c.fromCSV(in)
	case looksPowerJSON(head):
		rep.Format = "nasa_power_json"
		err = c.fromJSON(in)
	default:
		if err = refuse(head); err == nil {
			err = notClimatology()
		}
	}
	if err != nil {
		return newClimatology(), rep, err
	}
	slices.SortFunc(c.MonthlyWindMS, func(a, b MonthlyWind) int {
		if a.HeightM < b.HeightM {
			return -1
		}
		return 1
	})
	rep.assume("%s", powerCell)
	return c, rep, nil
}

// inBrackets is what stands in brackets at the end of a line, if that is a few plain words; else it is empty.
func inBrackets(s string) string {
	const longest = 60
	_, words, opened := strings.Cut(s, "(")
	words, _, closed := strings.Cut(words, ")")
	if !opened || !closed || len(words) > longest || strings.ContainsFunc(words, func(r rune) bool { return r < ' ' || r > '~' }) {
		return ""
	}
	return words
}

// Irradiation is the global irradiation of the months, in kWh/m² to a tenth, January first, as a request takes it. The
// error says that a month is missing, or is beyond 0 to 400 kWh/m², the bounds of a request.
func (c *Climatology) Irradiation() ([12]float64, error) {
	const most = 400
	var out [12]float64
	for i, v := range c.MonthlyGHIKWhM2 {
		switch {
		case v != v:
			return out, fmt.Errorf("the climatology has no global irradiation of month %d", i+1)
		case !(v >= 0 && v <= most):
			return out, fmt.Errorf("the climatology has %.4g kWh/m² as the global irradiation of month %d, which is beyond 0 to %d", v, i+1, most)
		}
		out[i] = math.Round(10*v) / 10
	}
	return out, nil
}

// IrradiationWords are twelve months as a request document takes them, such as "solar: {monthly_irradiation_kwh_m2:
// [24.8, 42.4, …]}".
func IrradiationWords(months [12]float64) string {
	list := make([]string, len(months))
	for i, v := range months {
		list[i] = strconv.FormatFloat(v, 'f', -1, 64)
	}
	return "solar: {monthly_irradiation_kwh_m2: [" + strings.Join(list, ", ") + "]}"
}

func notClimatology() error {
	return &ReadError{Reason: "the content is no climatology: it has no twelve monthly means by parameter",
		Remedy: "give a climatology of NASA POWER, CSV or JSON; records over time are read as records", err: ErrUnknownFormat}
}

func newClimatology() Climatology {
	c := Climatology{Attribution: powerAttribution}
	for _, m := range []*[12]float64{&c.MonthlyGHIKWhM2, &c.MonthlyDNIKWhM2, &c.MonthlyDHIKWhM2, &c.MonthlyTemperatureC, &c.MonthlyPressurePa} {
		for i := range m {
			m[i] = math.NaN()
		}
	}
	return c
}

// fromCSV reads the rows under PARAMETER,JAN,…,DEC,ANN.
func (c *Climatology) fromCSV(in *input) error {
	lx := lexer{src: in.src, delimiter: ','}
	h, err := readPowerHeader(&lx)
	if err != nil {
		return err
	}
	c.Place, c.Period = h.place(), h.period
	if !lx.next() || lx.n < 13 || !strings.EqualFold(text(trim(lx.field(0))), "PARAMETER") {
		return notClimatology()
	}
	in.rep.HeaderLine = in.src.lineNo
	for i, name := range climatologyMonths {
		if !strings.EqualFold(text(trim(lx.field(1+i))), name) {
			return notClimatology()
		}
	}
	for lx.next() {
		if lx.blank() {
			continue
		}
		if in.rep.Rows++; lx.n < 13 {
			return &ReadError{Line: in.src.lineNo, Reason: "the row has fewer than twelve months", Remedy: "ask the service again"}
		}
		var months [12]float64
		for i := range months {
			v, ok := number(lx.field(1+i), '.')
			if !ok {
				return &ReadError{Line: in.src.lineNo, Column: 2 + i, Reason: clip(lx.field(1+i)) + " is no number", Remedy: "ask the service again"}
			}
			months[i] = v
		}
		c.parameter(in.rep, h, text(trim(lx.field(0))), months, -999)
	}
	if err := in.src.broken(); err != nil {
		return err
	}
	return c.any(in.rep)
}

// fromJSON reads properties.parameter, where each parameter has JAN to DEC and ANN.
func (c *Climatology) fromJSON(in *input) error {
	f, h, fill, err := decodePower(in)
	if err != nil {
		return err
	}
	c.Place, c.Period = h.place(), h.period
	names := make([]string, 0, len(f.Properties.Parameter))
	for name := range f.Properties.Parameter {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		var byMonth map[string]*float64
		if json.Unmarshal(f.Properties.Parameter[name], &byMonth) != nil {
			return notClimatology()
		}
		var months [12]float64
		for i, m := range climatologyMonths {
			v, ok := byMonth[m]
			if !ok {
				return notClimatology()
			}
			if months[i] = math.NaN(); v != nil {
				months[i] = *v
			}
		}
		in.rep.Rows++
		c.parameter(in.rep, h, name, months, fill)
	}
	return c.any(in.rep)
}

// any refuses a climatology without a parameter of use.
func (c *Climatology) any(rep *Report) error {
	if slices.ContainsFunc(rep.Columns, func(r ColumnReport) bool { return r.Quantity != "" }) {
		return nil
	}
	return &ReadError{Reason: "none of its parameters is used here", Remedy: "ask the service for ALLSKY_SFC_SW_DWN, T2M, WS10M and WS50M"}
}

// parameter takes one row.
func (c *Climatology) parameter(rep *Report, h *powerHeader, name string, months [12]float64, fill float64) {
	col := column{heightM: math.NaN()}
	h.describe(&col, name)
	r := ColumnReport{Number: len(rep.Columns) + 1, Name: name, HeightM: col.heightM, How: col.how}
	into := map[resource.Quantity]*[12]float64{
		resource.GlobalHorizontal: &c.MonthlyGHIKWhM2, resource.DirectNormal: &c.MonthlyDNIKWhM2, resource.DiffuseHorizontal: &c.MonthlyDHIKWhM2,
		resource.Temperature: &c.MonthlyTemperatureC, resource.Pressure: &c.MonthlyPressurePa,
	}[col.quantity]
	u := col.unit
	switch {
	case !col.measured() || u == nil:
	case col.quantity == resource.Speed:
		c.MonthlyWindMS = append(c.MonthlyWindMS, MonthlyWind{HeightM: col.heightM})
		into = &c.MonthlyWindMS[len(c.MonthlyWindMS)-1].MeanMS
	case into == nil:
		r.How = "not used: a monthly mean of it is of no use"
	}
	if into != nil && u != nil {
		r.Quantity, r.Unit = col.quantity.String(), u.name
		for i, v := range months {
			into[i] = math.NaN()
			if v == fill || math.IsNaN(v) {
				r.Missing++
				continue
			}
			into[i] = u.convert(v)
			if unitOf(col.quantity) == irradianceUnit {
				into[i] *= 24 * climatologyDays[i] / 1000 // mean W/m² to kWh/m² in the month
			}
		}
	}
	rep.Columns = append(rep.Columns, r)
}
