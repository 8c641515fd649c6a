package storage

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
	"time"

	"github.com/parquet-go/parquet-go"

	"mastworth/resource"
)

var nan = math.NaN()

// createdBy is written into every Parquet file. It has no version in it: the same samples must give the same bytes.
const createdBy = "mastworth"

// batch is how many values go to or come from a Parquet column at a time.
const batch = 8192

// EncodeBlocks yields a series as Parquet blocks, one a calendar month (UTC) that has samples, in order. The same series
// gives the same bytes. The error, if any, ends the sequence.
func EncodeBlocks(s *resource.Series) iter.Seq2[Block, error] {
	return func(emit func(Block, error) bool) {
		e := newEncoder(newLayout(s.Channels))
		for from := 0; from < s.Len(); {
			month := time.Unix(s.Times[from], 0).UTC().Format("2006-01")
			to := from + monthEnd(s.Times[from:])
			var b bytes.Buffer
			if err := e.write(&b, s, from, to); err != nil {
				emit(Block{}, fmt.Errorf("storage: encoding %s: %w", month, err))
				return
			}
			sum := sha256.Sum256(b.Bytes())
			if !emit(Block{Month: month, Rows: int64(to - from), Checksum: hex.EncodeToString(sum[:]), Data: b.Bytes()}, nil) {
				return
			}
			from = to
		}
	}
}

// monthEnd is how many of the stamps are in the first one's calendar month.
func monthEnd(times []int64) int {
	t := time.Unix(times[0], 0).UTC()
	end := time.Date(t.Year(), t.Month()+1, 1, 0, 0, 0, 0, time.UTC).Unix()
	for i, u := range times {
		if u >= end {
			return i
		}
	}
	return len(times)
}

// WriteParquet writes a whole series as one Parquet file, which any dataframe tool opens.
func WriteParquet(w io.Writer, s *resource.Series) error {
	if err := newEncoder(newLayout(s.Channels)).write(w, s, 0, s.Len()); err != nil {
		return fmt.Errorf("storage: writing Parquet: %w", err)
	}
	return nil
}

// encoder writes stretches of series that share a layout, and reuses its buffers.
type encoder struct {
	layout layout
	writer *parquet.Writer
	values []parquet.Value
}

func newEncoder(l layout) *encoder {
	return &encoder{layout: l, values: make([]parquet.Value, 0, batch),
		writer: parquet.NewWriter(io.Discard, l.schema, parquet.CreatedBy(createdBy, "", ""), parquet.DataPageStatistics(true))}
}

// write writes stamps from up to (not including) to.
func (e *encoder) write(w io.Writer, s *resource.Series, from, to int) error {
	e.writer.Reset(w)
	columns := e.writer.ColumnWriters()
	l := &e.layout
	err := e.column(columns[l.time], from, to, func(i int) parquet.Value {
		return parquet.Int64Value(s.Times[i]*1000).Level(0, 0, l.time)
	})
	for k := range s.Channels {
		c := &s.Channels[k]
		column := l.values[k]
		err = errors.Join(err, e.column(columns[column], from, to, func(i int) parquet.Value {
			if v := c.Values[i]; v == v {
				return parquet.DoubleValue(v).Level(0, 1, column)
			}
			return parquet.NullValue().Level(0, 0, column)
		}))
		if column := l.flags[k]; column >= 0 {
			err = errors.Join(err, e.column(columns[column], from, to, func(i int) parquet.Value {
				return parquet.Int32Value(int32(c.Flags[i])).Level(0, 0, column)
			}))
		}
	}
	return errors.Join(err, e.writer.Close())
}

// column writes one column, a batch at a time.
func (e *encoder) column(w *parquet.ColumnWriter, from, to int, value func(i int) parquet.Value) error {
	for from < to {
		end := min(from+batch, to)
		e.values = e.values[:0]
		for i := from; i < end; i++ {
			e.values = append(e.values, value(i))
		}
		if _, err := w.WriteRowValues(e.values); err != nil {
			return err
		}
		from = end
	}
	return nil
}
