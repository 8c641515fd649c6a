package ingest

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/parquet-go/parquet-go"

	"mastworth/resource"
)

// parquetUnits are the units as the names of columns end in them: a column is called speed_10m_m_s, temperature_degc.
var parquetUnits = map[resource.Quantity]string{
	resource.Speed: "m_s", resource.SpeedSD: "m_s", resource.Gust: "m_s", resource.Direction: "deg",
	resource.Temperature: "degc", resource.Pressure: "pa", resource.Humidity: "share",
	resource.GlobalHorizontal: "w_m2", resource.DirectNormal: "w_m2", resource.DiffuseHorizontal: "w_m2",
	resource.Power: "w", resource.Voltage: "v", resource.Current: "a", resource.ShaftSpeed: "rpm",
}

// A Parquet file of ours takes three bytes a value or more, columns without a value aside. What claims to hold far more
// than its size is made to fill a memory.
const (
	parquetGrowth    = 64
	parquetAllowance = 16 << 20 // bytes of values that may come out whatever the size
)

func looksParquet(head []byte) bool { return bytes.HasPrefix(head, []byte("PAR1")) }

// parquetColumn is a column that is read.
type parquetColumn struct {
	name     string
	quantity resource.Quantity
	heightM  float64
	values   int // column of the file
	flags    int // −1: none
	flagsAt  int // column of the table
}

// readParquet reads Parquet files as this program writes them: time in milliseconds since 1970 (UTC) at which each step
// begins, then a column of doubles for each channel, missing values null or NaN, and perhaps one of flags. Time zone,
// place and kind are not in the file.
func readParquet(in *input) (s *resource.Series, err error) {
	defer func() {
		if recover() != nil { // the library panics at some damage
			s, err = nil, damagedParquet(errors.New("its structure makes no sense"))
		}
	}()
	body, err := wholeBody(in, "cut it into years")
	if err != nil {
		return nil, err
	}
	if err := parquetFrame(body); err != nil {
		return nil, err
	}
	f, err := parquet.OpenFile(bytes.NewReader(body), int64(len(body)), parquet.SkipBloomFilters(true), parquet.SkipPageIndex(true))
	if err != nil {
		return nil, damagedParquet(err)
	}
	stamps, columns, err := parquetLayout(f, in.rep)
	if err != nil {
		return nil, err
	}
	rows := f.NumRows()
	if most := in.o.MaxRows; rows > DefaultMaxRows || most > 0 && rows > most {
		return nil, &ReadError{Reason: fmt.Sprintf("the record has %d rows, more than are taken", rows), Remedy: "cut it into years"}
	}
	width := int64(len(columns)+1) * 8
	for i := range columns {
		if columns[i].flags >= 0 {
			width += 2
		}
	}
	if rows < 0 || rows*width > parquetAllowance+parquetGrowth*int64(len(body)) {
		return nil, damagedParquet(fmt.Errorf("it says that it holds %d rows, in %d bytes", rows, len(body)))
	}
	if err := checkColumns(f, body, stamps, columns, rows); err != nil {
		return nil, damagedParquet(err)
	}
	t := newTable(0, 0)
	t.values = make([]chunks[float64], len(columns))
	if err := t.parquetGroups(f, stamps, columns, int(rows)); err != nil {
		return nil, damagedParquet(err)
	}
	return parquetSeries(in, t, columns)
}

// checkColumns looks through the pages of all columns that are read.
func checkColumns(f *parquet.File, body []byte, stamps int, columns []parquetColumn, rows int64) error {
	used := []int{stamps}
	for i := range columns {
		used = append(used, columns[i].values)
		if columns[i].flags >= 0 {
			used = append(used, columns[i].flags)
		}
	}
	for _, column := range used {
		if err := checkPages(f, body, column, rows, parquetAllowance+parquetGrowth*int64(len(body))); err != nil {
			return err
		}
	}
	return nil
}

// parquetFrame checks the marks at both ends and the length of the description before the last, for which the library
// would make room whatever it says.
func parquetFrame(b []byte) error {
	const mark = "PAR1"
	n := len(b)
	if n < 3*len(mark) || string(b[:4]) != mark || string(b[n-4:]) != mark {
		return damagedParquet(errors.New("it does not begin and end with PAR1"))
	}
	if size := binary.LittleEndian.Uint32(b[n-8:]); int64(size) > int64(n-3*len(mark)) {
		return damagedParquet(fmt.Errorf("it says that its description takes %d bytes of %d", size, n))
	}
	return nil
}

func damagedParquet(err error) error {
	return &ReadError{Reason: "the Parquet file is damaged, or not one of this program: " + err.Error(), Remedy: "export it again, or as CSV"}
}

// columnName takes a column's name apart: quantity, height with p for the decimal point, unit, a number where two are alike.
var columnName = regexp.MustCompile(`^([a-z_]+?)(?:_([0-9]+(?:p[0-9]+)?)m)?_(m_s|deg|degc|pa|share|w_m2)(?:_[0-9]+)?$`)

// parquetLayout finds the columns by their names.
func parquetLayout(f *parquet.File, rep *Report) (stamps int, columns []parquetColumn, err error) {
	stamps = -1
	schema := f.Schema()
	paths := schema.Columns()
	for i, path := range paths {
		name := strings.Join(path, ".")
		if !rep.parquetColumn(name, i, len(path) == 1, &columns) || name != "time" {
			continue
		}
		if leaf, ok := schema.Lookup(name); ok && leaf.Node.Leaf() && leaf.Node.Required() && leaf.Node.Type().Kind() == parquet.Int64 {
			if lt := leaf.Node.Type().LogicalType(); lt != nil && strings.Contains(lt.String(), "unit=MILLIS") {
				stamps = i
			}
		}
	}
	for i := range columns {
		c := &columns[i]
		if leaf, ok := schema.Lookup(c.name); !ok || leaf.Node.Repeated() || leaf.Node.Type().Kind() != parquet.Double {
			return 0, nil, damagedParquet(fmt.Errorf("column %q holds no doubles", c.name))
		}
		if leaf, ok := schema.Lookup(c.name + "_flags"); ok && leaf.Node.Required() && leaf.Node.Type().Kind() == parquet.Int32 {
			c.flags = leaf.ColumnIndex
		}
	}
	if stamps < 0 || len(columns) == 0 {
		return 0, nil, &ReadError{Reason: "the Parquet file has no column time (timestamps in milliseconds) with columns such as speed_10m_m_s beside it",
			Remedy: "export the record from this program, or give it as CSV"}
	}
	return stamps, columns, nil
}

// parquetColumn notes one column in the report, and among those read when its name says what it is.
func (r *Report) parquetColumn(name string, i int, flat bool, columns *[]parquetColumn) bool {
	c := ColumnReport{Number: i + 1, Name: name, HeightM: math.NaN(), How: "not used: nothing known in its name"}
	defer func() { r.Columns = append(r.Columns, c) }()
	switch m := columnName.FindStringSubmatch(name); {
	case !flat:
		return false
	case name == "time":
		c.Quantity, c.How = ColumnTime, "part of the stamp"
	case strings.HasSuffix(name, "_flags"):
		c.How = "reasons for which values are not used"
	case m != nil:
		q, ok := resource.ParseQuantity(m[1])
		if !ok || parquetUnits[q] != m[3] {
			return true
		}
		if m[2] != "" {
			h, err := strconv.ParseFloat(strings.ReplaceAll(m[2], "p", "."), 64)
			if err != nil || !goodHeight(h) {
				c.How = "not used: its height is none"
				return true
			}
			c.HeightM = h
		}
		c.Quantity, c.Unit, c.How = m[1], baseUnit(q).name, "by the format"
		*columns = append(*columns, parquetColumn{name: name, quantity: q, heightM: c.HeightM, values: i, flags: -1})
	}
	return true
}

// parquetGroups reads all row groups: the values of the columns, and behind them their flags.
func (t *table) parquetGroups(f *parquet.File, stamps int, columns []parquetColumn, rows int) error {
	times, err := readColumn(f, stamps, rows, func(v []parquet.Value, out []int64) {
		for i := range v {
			out[i] = v[i].Int64()
		}
	})
	if err != nil {
		return err
	}
	for i, ms := range times {
		times[i] = floorDiv(ms, 1000)
		if ms > 7.3e12 || ms < -5.4e12 {
			times[i] = noStamp
		}
	}
	t.stamps, t.rows = chunks[int64]{last: times}, rows
	t.lines.note(0, 1)
	for i := range columns {
		c := &columns[i]
		values, err := readColumn(f, c.values, rows, func(v []parquet.Value, out []float64) {
			for i := range v {
				if out[i] = v[i].Double(); v[i].IsNull() || math.IsInf(out[i], 0) {
					out[i] = math.NaN()
				}
			}
		})
		if err != nil {
			return err
		}
		t.values[i] = chunks[float64]{last: values}
		if c.flags >= 0 {
			flags, err := readColumn(f, c.flags, rows, func(v []parquet.Value, out []float64) {
				for i := range v {
					out[i] = float64(uint16(v[i].Int32()))
				}
			})
			if err != nil {
				return err
			}
			c.flagsAt = len(t.values)
			t.values = append(t.values, chunks[float64]{last: flags})
		}
	}
	return nil
}

func floorDiv(a, b int64) int64 { return (a - floorMod(a, b)) / b }

// readColumn is one column of the whole file.
func readColumn[T any](f *parquet.File, column, rows int, convert func([]parquet.Value, []T)) ([]T, error) {
	out, filled := make([]T, rows), 0
	buffer := make([]parquet.Value, 1024)
	for _, group := range f.RowGroups() {
		pages := group.ColumnChunks()[column].Pages()
		for {
			page, err := pages.ReadPage()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				return nil, errors.Join(err, pages.Close())
			}
			for values := page.Values(); ; {
				n, err := values.ReadValues(buffer)
				if filled+n > rows {
					return nil, errors.Join(fmt.Errorf("a column has more than %d values", rows), pages.Close())
				}
				convert(buffer[:n], out[filled:filled+n])
				filled += n
				if err != nil {
					if !errors.Is(err, io.EOF) {
						return nil, errors.Join(err, pages.Close())
					}
					break
				}
			}
			parquet.Release(page)
		}
		if err := pages.Close(); err != nil {
			return nil, err
		}
	}
	if filled != rows {
		return nil, fmt.Errorf("a column has %d values for %d rows", filled, rows)
	}
	return out, nil
}

// parquetSeries makes the Series.
func parquetSeries(in *input, t *table, columns []parquetColumn) (*resource.Series, error) {
	rep := in.rep
	rep.Rows = int64(t.rows)
	a := t.settle(rep, 0)
	if len(a.times) == 0 {
		return nil, &ReadError{Reason: "the Parquet file holds no row with a stamp", Remedy: "export it again"}
	}
	if a.step == 0 {
		a.step, rep.StepS = 3600, 3600
		rep.assume("one stamp alone does not show the step: %s is taken", duration(a.step))
	}
	s := &resource.Series{Times: a.times, StepS: a.step, UTCOffsetS: orElse(in.o.UTCOffsetS, 0), Kind: kindOf(a.step)}
	for i := range columns {
		c := &columns[i]
		ch := resource.Channel{Name: c.name, Quantity: c.quantity, HeightM: c.heightM, Values: a.values[i]}
		if c.flags >= 0 {
			ch.Flags = make([]resource.Flag, len(ch.Values))
			for j, f := range a.values[c.flagsAt] {
				ch.Flags[j] = resource.Flag(f)
			}
		}
		for _, v := range ch.Values {
			if math.IsNaN(v) {
				rep.Columns[c.values].Missing++
			}
		}
		s.Channels = append(s.Channels, ch)
	}
	if in.o.UTCOffsetS == nil {
		rep.assume("%s", utcOnly)
	}
	rep.assume("a Parquet file does not tell the kind of its record: if it is a typical year, give the file that it came from")
	return s, nil
}
