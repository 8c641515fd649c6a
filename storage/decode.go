package storage

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"iter"

	"github.com/parquet-go/parquet-go"

	"mastworth/resource"
)

// DecodeBlocks puts a series together again from its description and its blocks, in order. Every block's checksum is
// verified; a block that is not what was written, or does not fit the description, is ErrCorrupt. An error from the
// sequence is returned wrapped.
func DecodeBlocks(description []byte, blocks iter.Seq2[Block, error]) (*resource.Series, error) {
	s, err := DecodeMeta(description)
	if err != nil {
		return nil, err
	}
	l := newLayout(s.Channels)
	for b, err := range blocks {
		if err != nil {
			return nil, fmt.Errorf("storage: reading blocks: %w", err)
		}
		if err := appendBlock(s, &l, b); err != nil {
			return nil, fmt.Errorf("%w: %s: %w", ErrCorrupt, describe(b.Month), err)
		}
	}
	return s, nil
}

// VerifyBlock checks a block's bytes against its checksum; the error is ErrCorrupt.
func VerifyBlock(b Block) error {
	if sum := sha256.Sum256(b.Data); hex.EncodeToString(sum[:]) != b.Checksum {
		return fmt.Errorf("%w: %s: the checksum does not match", ErrCorrupt, describe(b.Month))
	}
	return nil
}

// appendBlock decodes one block onto the end of a series.
func appendBlock(s *resource.Series, l *layout, b Block) error {
	if err := VerifyBlock(b); err != nil {
		return err
	}
	file, err := parquet.OpenFile(bytes.NewReader(b.Data), int64(len(b.Data)), parquet.SkipBloomFilters(true), parquet.SkipPageIndex(true))
	if err != nil {
		return err
	}
	if got, want := len(file.Root().Columns()), len(l.schema.Columns()); got != want {
		return fmt.Errorf("it has %d columns, the description %d", got, want)
	}
	for _, group := range file.RowGroups() {
		chunks := group.ColumnChunks()
		n := int(group.NumRows())
		err := eachValue(chunks[l.time], n, func(v parquet.Value) { s.Times = append(s.Times, v.Int64()/1000) })
		for k := range s.Channels {
			c := &s.Channels[k]
			err = errors.Join(err, eachValue(chunks[l.values[k]], n, func(v parquet.Value) {
				if v.IsNull() {
					c.Values = append(c.Values, nan)
				} else {
					c.Values = append(c.Values, v.Double())
				}
			}))
			if column := l.flags[k]; column >= 0 {
				err = errors.Join(err, eachValue(chunks[column], n, func(v parquet.Value) {
					c.Flags = append(c.Flags, resource.Flag(v.Int32()))
				}))
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// eachValue visits the values of one column, which must be n.
func eachValue(chunk parquet.ColumnChunk, n int, visit func(v parquet.Value)) error {
	pages := chunk.Pages()
	defer pages.Close()
	buffer := make([]parquet.Value, 1024)
	seen := 0
	for {
		page, err := pages.ReadPage()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		values := page.Values()
		for {
			got, err := values.ReadValues(buffer)
			for _, v := range buffer[:got] {
				visit(v)
			}
			seen += got
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				return err
			}
		}
		parquet.Release(page)
	}
	if seen != n {
		return fmt.Errorf("a column has %d values for %d rows", seen, n)
	}
	return nil
}
