package storage

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"
	"time"

	"github.com/parquet-go/parquet-go"

	"mastworth/resource"
)

// DecodeBlocks puts a series together again from its description and its blocks, in order. Every block's checksum, rows
// and month are verified, and that none is missing, doubled or out of order; what does not fit is ErrCorrupt. An error
// from the sequence is returned wrapped.
func DecodeBlocks(description []byte, blocks iter.Seq2[Block, error]) (*resource.Series, error) {
	s, rows, err := decodeMeta(description)
	if err != nil {
		return nil, err
	}
	l := newLayout(s.Channels, false)
	for b, err := range blocks {
		if err != nil {
			return nil, fmt.Errorf("storage: reading blocks: %w", err)
		}
		if err := appendBlock(s, &l, b); err != nil {
			return nil, fmt.Errorf("%w: %s: %w", ErrCorrupt, describe(b.Month), err)
		}
	}
	if int64(s.Len()) != rows {
		return nil, fmt.Errorf("%w: its blocks hold %d rows, its description says %d", ErrCorrupt, s.Len(), rows)
	}
	return s, nil
}

// VerifyBlock checks a block's bytes against its checksum; the error is ErrCorrupt.
func VerifyBlock(b Block) error {
	if sum := sha256.Sum256(b.Data); hex.EncodeToString(sum[:]) != b.Checksum {
		return fmt.Errorf("%w: %s: the checksum does not match: %s", ErrCorrupt, describe(b.Month), whereDamaged(b.Data))
	}
	return nil
}

// appendBlock decodes one block onto the end of a series.
func appendBlock(s *resource.Series, l *layout, b Block) error {
	if sum := sha256.Sum256(b.Data); hex.EncodeToString(sum[:]) != b.Checksum {
		return fmt.Errorf("the checksum does not match: %s", whereDamaged(b.Data))
	}
	file, err := parquet.OpenFile(bytes.NewReader(b.Data), int64(len(b.Data)), parquet.SkipBloomFilters(true), parquet.SkipPageIndex(true))
	if err != nil {
		return err
	}
	if got, want := len(file.Root().Columns()), len(l.schema.Columns()); got != want {
		return fmt.Errorf("it has %d columns, the description %d", got, want)
	}
	if file.NumRows() != b.Rows {
		return fmt.Errorf("it has %d rows, %d were written", file.NumRows(), b.Rows)
	}
	before := s.Len()
	for _, group := range file.RowGroups() {
		if err := appendGroup(s, l, group); err != nil {
			return err
		}
	}
	return inMonth(s.Times, before, b.Month)
}

// inMonth checks that the stamps from one on lie in a month and follow those before.
func inMonth(times []int64, from int, month string) error {
	start, err := time.Parse("2006-01", month)
	if err != nil {
		return errors.New("that is not a month")
	}
	first, next := start.Unix(), start.AddDate(0, 1, 0).Unix()
	for i := from; i < len(times); i++ {
		if times[i] < first || times[i] >= next {
			return errors.New("it has stamps of another month")
		}
		if i > 0 && times[i] <= times[i-1] {
			return errors.New("its stamps are not in order")
		}
	}
	return nil
}

// appendGroup appends the columns of a row group, each whole.
func appendGroup(s *resource.Series, l *layout, group parquet.RowGroup) error {
	chunks := group.ColumnChunks()
	n := int(group.NumRows())
	times := grown(&s.Times, n)
	err := readColumn(chunks[l.time], times, parquet.Int64Reader.ReadInt64s)
	for i := range times {
		times[i] /= 1000
	}
	var flags []int32
	for k := range s.Channels {
		c := &s.Channels[k]
		err = errors.Join(err, readColumn(chunks[l.values[k]], grown(&c.Values, n), parquet.DoubleReader.ReadDoubles))
		if column := l.flags[k]; column >= 0 {
			flags = slices.Grow(flags[:0], n)[:n]
			err = errors.Join(err, readColumn(chunks[column], flags, parquet.Int32Reader.ReadInt32s))
			end := grown(&c.Flags, n)
			for i, f := range flags {
				end[i] = resource.Flag(f)
			}
		}
	}
	return err
}

// grown makes a slice n longer and returns the new end of it, to be filled.
func grown[T any](s *[]T, n int) []T {
	from := len(*s)
	*s = slices.Grow(*s, n)[:from+n]
	return (*s)[from:]
}

// readColumn fills a slice with the values of one column, which must be as many. read is how pages of its type give their
// values.
func readColumn[T, R any](chunk parquet.ColumnChunk, into []T, read func(R, []T) (int, error)) error {
	pages := chunk.Pages()
	defer pages.Close()
	filled := 0
	for {
		page, err := pages.ReadPage()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		values, ok := page.Values().(R)
		if !ok {
			return errors.New("a column has another type")
		}
		if n := int(page.NumValues()); n > len(into)-filled {
			return fmt.Errorf("a column has more than %d values", len(into))
		}
		n, err := read(values, into[filled:filled+int(page.NumValues())])
		if err != nil && !errors.Is(err, io.EOF) {
			return err
		}
		filled += n
		parquet.Release(page)
	}
	if filled != len(into) {
		return fmt.Errorf("a column has %d values for %d rows", filled, len(into))
	}
	return nil
}
