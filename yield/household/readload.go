package household

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// ReadLoad reads a home's load from CSV. The first line says which of two forms it is:
//
//	load_w or load_kwh   then 8760 rows, one an hour from 1 January 0 h of local standard time (8784 for a leap year, whose
//	                     29 February is left out): the mean power, W, or the energy of the hour, kWh
//	hour,weight          then 24 rows, hours 0 to 23; and, if wanted, a line month,weight with 12 rows, months 1 to 12: the
//	                     shape of the day and of the year (see Shape); without months every month has the same
//
// With hourly rows yearlyKWh may be NaN, which leaves them as they are; any other yearlyKWh scales them to it. A shape needs it.
// Errors are *Fault with the line: "load csv, line 12".
func ReadLoad(text []byte, yearlyKWh float64) (*Load, error) {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	f := loadFile{r: r, seen: map[string]bool{}}
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var wrong *csv.ParseError
			if errors.As(err, &wrong) {
				return nil, fault(fmt.Sprintf("load csv, line %d", wrong.Line), "%v", wrong.Err)
			}
			return nil, fault("load csv", "%v", err)
		}
		f.line, _ = r.FieldPos(0)
		if err := f.row(row); err != nil {
			return nil, err
		}
	}
	return f.load(yearlyKWh)
}

// loadFile is what has been read so far.
type loadFile struct {
	r      *csv.Reader
	line   int
	mode   string // the header that rules: "load_w", "load_kwh", "hour", "month"
	hourly []float64
	shape  Shape
	seen   map[string]bool // "hour 3", and the headers
}

func (f *loadFile) fault(format string, args ...any) error {
	return fault(fmt.Sprintf("load csv, line %d", f.line), format, args...)
}

func (f *loadFile) row(row []string) error {
	for i := range row {
		row[i] = strings.ToLower(strings.TrimSpace(row[i]))
	}
	switch header := strings.Join(row, ","); header {
	case "load_w", "load_kwh", "hour,weight", "month,weight":
		mode, _, _ := strings.Cut(header, ",")
		if f.seen[mode] || f.mode != "" && (strings.HasPrefix(mode, "load") || strings.HasPrefix(f.mode, "load")) {
			return f.fault("a second heading %q: hourly rows stand alone, and each part comes once", header)
		}
		f.mode, f.seen[mode] = mode, true
		return nil
	}
	switch f.mode {
	case "":
		return f.fault("the first line must be load_w, load_kwh, or hour,weight, not %q", strings.Join(row, ","))
	case "load_w", "load_kwh":
		if len(row) != 1 {
			return f.fault("must hold one number, not %d fields", len(row))
		}
		v, err := f.number(row[0])
		f.hourly = append(f.hourly, v)
		return err
	}
	return f.weight(row)
}

func (f *loadFile) weight(row []string) error {
	if len(row) != 2 {
		return f.fault("must hold a %s and its weight, not %d fields", f.mode, len(row))
	}
	first, into := 0, f.shape.Hours[:]
	if f.mode == "month" {
		first, into = 1, f.shape.Months[:]
	}
	n, err := strconv.Atoi(row[0])
	if err != nil || n < first || n >= first+len(into) {
		return f.fault("the %s must be a whole number from %d to %d, not %q", f.mode, first, first+len(into)-1, row[0])
	}
	key := fmt.Sprintf("%s %d", f.mode, n)
	if f.seen[key] {
		return f.fault("%s stands twice", key)
	}
	f.seen[key] = true
	into[n-first], err = f.number(row[1])
	return err
}

func (f *loadFile) number(field string) (float64, error) {
	v, err := strconv.ParseFloat(field, 64)
	if err != nil || !(v >= 0) || math.IsInf(v, 1) {
		return 0, f.fault("must be a number from 0, not %q", field)
	}
	return v, nil
}

// load makes a year of what was read.
func (f *loadFile) load(yearlyKWh float64) (*Load, error) {
	switch {
	case f.mode == "":
		return nil, fault("load csv", "is empty; the first line must be load_w, load_kwh, or hour,weight")
	case f.seen["hour"] || f.seen["month"]:
		return f.shaped(yearlyKWh)
	}
	const february29 = 59 * 24
	switch len(f.hourly) {
	case hoursOfYear:
	case hoursOfYear + 24:
		f.hourly = append(f.hourly[:february29:february29], f.hourly[february29+24:]...)
	default:
		return nil, fault("load csv", "has %d hours; a year has 8760, a leap year 8784", len(f.hourly))
	}
	l := new(Load)
	copy(l.W[:], f.hourly)
	if f.mode == "load_kwh" {
		for i := range l.W {
			l.W[i] *= 1000
		}
	}
	if yearlyKWh != yearlyKWh {
		return l, nil
	}
	return l.Scaled(yearlyKWh)
}

func (f *loadFile) shaped(yearlyKWh float64) (*Load, error) {
	for _, part := range []struct {
		name         string
		first, count int
	}{{"hour", 0, 24}, {"month", 1, 12}} {
		if part.name == "month" && !f.seen["month"] {
			for m := range f.shape.Months {
				f.shape.Months[m] = 1
			}
			continue
		}
		for n := part.first; n < part.first+part.count; n++ {
			if key := fmt.Sprintf("%s %d", part.name, n); !f.seen[key] {
				return nil, fault("load csv", "%s is missing; all %d must be given", key, part.count)
			}
		}
	}
	if yearlyKWh != yearlyKWh {
		return nil, fault("yearly_kwh", "must be given with a load that is only a shape")
	}
	return f.shape.Load(yearlyKWh)
}
