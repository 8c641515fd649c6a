package storage

import (
	"errors"
	"fmt"
	"io"

	"github.com/parquet-go/parquet-go"

	"mastworth/resource"
)

// batch is how many values go to a column of an exported file at a time.
const batch = 8192

// WriteParquet writes a whole series as one Parquet file, which any dataframe tool opens: missing values are null.
func WriteParquet(w io.Writer, s *resource.Series) error {
	l := newLayout(s.Channels, true)
	file := newWriter(w, l)
	columns := file.ColumnWriters()
	n := s.Len()
	err := writeColumn(columns[l.time], n, func(i int) parquet.Value { return parquet.Int64Value(s.Times[i]*1000).Level(0, 0, l.time) })
	for k := range s.Channels {
		c := &s.Channels[k]
		column := l.values[k]
		err = errors.Join(err, writeColumn(columns[column], n, func(i int) parquet.Value {
			if v := c.Values[i]; v == v {
				return parquet.DoubleValue(v).Level(0, 1, column)
			}
			return parquet.NullValue().Level(0, 0, column)
		}))
		if column := l.flags[k]; column >= 0 {
			err = errors.Join(err, writeColumn(columns[column], n, func(i int) parquet.Value {
				return parquet.Int32Value(int32(c.Flags[i])).Level(0, 0, column)
			}))
		}
	}
	if err := errors.Join(err, file.Close()); err != nil {
		return fmt.Errorf("storage: writing Parquet: %w", err)
	}
	return nil
}

// writeColumn writes n values of one column, a batch at a time.
func writeColumn(w *parquet.ColumnWriter, n int, value func(i int) parquet.Value) error {
	values := make([]parquet.Value, 0, min(batch, n))
	for from := 0; from < n; from += batch {
		values = values[:0]
		for i := from; i < min(from+batch, n); i++ {
			values = append(values, value(i))
		}
		if _, err := w.WriteRowValues(values); err != nil {
			return err
		}
	}
	return nil
}
