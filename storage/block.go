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

// EncodeBlocks yields a series as Parquet blocks, one a calendar month (UTC) that has samples, in order. The same series
// gives the same bytes. The error, if any, ends the sequence; a series that is out of order or has a channel of another
// length gives no block at all.
func EncodeBlocks(s *resource.Series) iter.Seq2[Block, error] {
	return func(emit func(Block, error) bool) {
		if err := check(s); err != nil {
			emit(Block{}, err)
			return
		}
		e := newEncoder(newLayout(s.Channels, false))
		usual := 0 // length of the block before: months are much alike
		for from := 0; from < s.Len(); {
			month := time.Unix(s.Times[from], 0).UTC().Format("2006-01")
			to := from + monthEnd(s.Times[from:])
			b := bytes.NewBuffer(make([]byte, 0, usual+usual/8))
			if err := e.write(b, s, from, to); err != nil {
				emit(Block{}, fmt.Errorf("storage: encoding %s: %w", month, err))
				return
			}
			sum := sha256.Sum256(b.Bytes())
			if !emit(Block{Month: month, Rows: int64(to - from), Checksum: hex.EncodeToString(sum[:]), Data: b.Bytes()}, nil) {
				return
			}
			from, usual = to, b.Len()
		}
	}
}

// check refuses a series whose months would be wrong, or whose columns would not be of one length.
func check(s *resource.Series) error {
	for i := 1; i < s.Len(); i++ {
		if s.Times[i] <= s.Times[i-1] {
			return fmt.Errorf("storage: stamp %d is not after the one before", i+1)
		}
	}
	for i := range s.Channels {
		if c := &s.Channels[i]; len(c.Values) != s.Len() || c.Flags != nil && len(c.Flags) != s.Len() {
			return fmt.Errorf("storage: channel %q has %d values and %d flags for %d stamps", c.Name, len(c.Values), len(c.Flags), s.Len())
		}
	}
	return nil
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

// encoder writes stretches of series that share a layout, and reuses its buffers.
type encoder struct {
	layout layout
	writer *parquet.GenericWriter[any]
	buffer *parquet.Buffer
	times  []int64
	flags  []int32
}

func newEncoder(l layout) *encoder {
	return &encoder{layout: l, writer: newWriter(io.Discard, l), buffer: parquet.NewBuffer(l.schema)}
}

func newWriter(w io.Writer, l layout) *parquet.GenericWriter[any] {
	// Nobody looks for a value in a block by its bounds, and finding them costs as much as writing.
	options := []parquet.WriterOption{l.schema, parquet.CreatedBy(createdBy, "", ""), parquet.DataPageStatistics(false)}
	for _, path := range l.schema.Columns() {
		options = append(options, parquet.SkipPageBounds(path...))
	}
	return parquet.NewGenericWriter[any](w, options...)
}

// write writes stamps from up to (not including) to, a whole column at a time.
func (e *encoder) write(w io.Writer, s *resource.Series, from, to int) error {
	e.writer.Reset(w)
	e.buffer.Reset()
	l, columns := &e.layout, e.buffer.ColumnBuffers()
	e.times = e.times[:0]
	for _, t := range s.Times[from:to] {
		e.times = append(e.times, t*1000)
	}
	_, err := columns[l.time].(parquet.Int64Writer).WriteInt64s(e.times)
	for k := range s.Channels {
		c := &s.Channels[k]
		_, errValues := columns[l.values[k]].(parquet.DoubleWriter).WriteDoubles(c.Values[from:to])
		err = errors.Join(err, errValues)
		if column := l.flags[k]; column >= 0 {
			e.flags = e.flags[:0]
			for _, f := range c.Flags[from:to] {
				e.flags = append(e.flags, int32(f))
			}
			_, errFlags := columns[column].(parquet.Int32Writer).WriteInt32s(e.flags)
			err = errors.Join(err, errFlags)
		}
	}
	if err == nil {
		_, err = e.writer.WriteRowGroup(e.buffer)
	}
	return errors.Join(err, e.writer.Close())
}
