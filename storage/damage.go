package storage

import (
	"bytes"
	"errors"
	"io"
	"strings"

	"github.com/parquet-go/parquet-go"
)

// whereDamaged says which columns of a block cannot be read any more: each page of a column has a checksum of its own. It is for a
// block that is known to be damaged.
func whereDamaged(data []byte) string {
	columns, err := damagedColumns(data)
	switch {
	case err != nil:
		return "none of its columns can be read"
	case len(columns) == 0:
		return "its columns can be read, but what is around them is not what was written"
	}
	return "what cannot be read in it: " + strings.Join(columns, ", ")
}

func damagedColumns(data []byte) (columns []string, err error) {
	defer func() {
		if recover() != nil { // a library may be led astray by damaged bytes
			err = errors.New("the block's table of contents is damaged")
		}
	}()
	file, err := parquet.OpenFile(bytes.NewReader(data), int64(len(data)), parquet.SkipBloomFilters(true), parquet.SkipPageIndex(true))
	if err != nil {
		return nil, err
	}
	names := file.Schema().Columns()
	for _, group := range file.RowGroups() {
		for i, chunk := range group.ColumnChunks() {
			if !readable(chunk) {
				columns = append(columns, strings.Join(names[i], "."))
			}
		}
	}
	return columns, nil
}

// readable reads all pages of a column.
func readable(chunk parquet.ColumnChunk) (fine bool) {
	defer func() {
		if recover() != nil {
			fine = false
		}
	}()
	pages := chunk.Pages()
	defer pages.Close()
	for {
		page, err := pages.ReadPage()
		if err != nil {
			return errors.Is(err, io.EOF)
		}
		parquet.Release(page)
	}
}
