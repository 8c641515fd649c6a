package ingest

import (
	"encoding/binary"
	"errors"
	"fmt"

	"github.com/klauspost/compress/snappy"
	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/encoding/thrift"
	"github.com/parquet-go/parquet-go/format"
)

// The library makes room for whatever the head of a page, a run of levels or a packed list says that it holds, up to gigabytes, before
// it looks whether so much is there. So every page that is to be read is looked through first. That is possible without unpacking much
// because this program's own files are plain: data pages of the second version, levels as runs, values plain or times as packed
// differences, nothing or Snappy around them.

var errNotOurs = errors.New("its pages are packed in a way that this program does not use")

// checkPages looks through the pages of a column in every row group, which hold rows values at most in all. most bounds the bytes of
// one page unpacked.
func checkPages(f *parquet.File, body []byte, column int, rows, most int64) error {
	groups := f.Metadata().RowGroups
	c := pageChecker{most: most, values: rows}
	for i := range groups {
		chunk := &groups[i].Columns[column].MetaData
		if chunk.DictionaryPageOffset != 0 || chunk.Codec != groups[0].Columns[column].MetaData.Codec ||
			chunk.Codec != format.Uncompressed && chunk.Codec != format.Snappy {
			return errNotOurs
		}
		size := int64(len(body))
		if from, n := chunk.DataPageOffset, chunk.TotalCompressedSize; from < 0 || n < 0 || from > size || n > size-from {
			return fmt.Errorf("a column is said to lie from byte %d, %d bytes long, in %d", from, n, size)
		}
		c.left, c.snappy = body[chunk.DataPageOffset:][:chunk.TotalCompressedSize], chunk.Codec == format.Snappy
		for len(c.left) > 0 {
			if err := c.page(); err != nil {
				return err
			}
		}
	}
	return nil
}

// pageChecker goes through the pages of a column.
type pageChecker struct {
	left   []byte // of the row group
	snappy bool
	most   int64
	values int64 // that may still come
}

// page looks at the next page.
func (c *pageChecker) page() error {
	var h format.PageHeader
	r := new(thrift.CompactProtocol).NewReaderFromBytes(c.left)
	if err := thrift.NewDecoder(r).Decode(&h); err != nil {
		return errors.New("the head of a page makes no sense") // what the library says of it helps nobody
	}
	c.left = c.left[r.BytesRead():]
	if h.Type != format.DataPageV2 || !h.DataPageHeaderV2.Valid {
		return errNotOurs
	}
	d := &h.DataPageHeaderV2.V
	if n := h.CompressedPageSize; n < 0 || int64(n) > int64(len(c.left)) || h.UncompressedPageSize < 0 || int64(h.UncompressedPageSize) > c.most {
		return fmt.Errorf("a page is said to take %d bytes, %d unpacked, where %d are left", n, h.UncompressedPageSize, len(c.left))
	}
	data := c.left[:h.CompressedPageSize]
	c.left = c.left[h.CompressedPageSize:]
	if d.NumValues < 0 || int64(d.NumValues) > c.values || d.NumNulls < 0 || d.NumNulls > d.NumValues {
		return fmt.Errorf("a page is said to hold %d values, %d of them missing, where %d may come", d.NumValues, d.NumNulls, c.values)
	}
	c.values -= int64(d.NumValues)
	if n := d.DefinitionLevelsByteLength; d.RepetitionLevelsByteLength != 0 || n < 0 || int64(n) > int64(len(data)) {
		return fmt.Errorf("a page is said to have %d and %d bytes of levels in %d", d.RepetitionLevelsByteLength, n, len(data))
	}
	if err := checkRuns(data[:d.DefinitionLevelsByteLength], int64(d.NumValues)); err != nil {
		return err
	}
	packed := c.snappy && (!d.IsCompressed.Valid || d.IsCompressed.V)
	return checkValues(data[d.DefinitionLevelsByteLength:], d, packed, int64(h.UncompressedPageSize))
}

// checkValues looks at the values behind the levels. unpacked is how many bytes the page is said to have.
func checkValues(data []byte, d *format.DataPageHeaderV2, packed bool, unpacked int64) error {
	if packed {
		if n, err := snappy.DecodedLen(data); err != nil || int64(n) > unpacked {
			return fmt.Errorf("a page of %d bytes unpacks to %d instead of %d", len(data), n, unpacked)
		}
	}
	switch d.Encoding {
	case format.Plain:
		return nil
	case format.DeltaBinaryPacked:
		if packed {
			var err error
			if data, err = snappy.Decode(nil, data); err != nil {
				return fmt.Errorf("a page cannot be unpacked: %w", err)
			}
		}
		return checkDifferences(data, int64(d.NumValues))
	default:
		return errNotOurs
	}
}

// checkRuns counts the levels of an optional column: runs of one level, and levels of one bit in eights (Parquet's hybrid of both).
func checkRuns(b []byte, values int64) error {
	total := uint64(0)
	for len(b) > 0 {
		head, n := binary.Uvarint(b)
		if n <= 0 {
			return errors.New("a run of levels is cut off")
		}
		count, bytes := head>>1, uint64(1)
		if head&1 != 0 {
			bytes = count
			count *= 8
		}
		b = b[n:]
		if total += count; count > 1<<32 || total > uint64(values)+7 || bytes > uint64(len(b)) {
			return fmt.Errorf("a page of %d values has %d levels or more", values, total)
		}
		b = b[bytes:]
	}
	return nil
}

// checkDifferences reads how many values a packed list of differences is said to have: the third number, after the sizes of its blocks.
func checkDifferences(b []byte, values int64) error {
	said := uint64(0)
	for range 3 {
		var n int
		if said, n = binary.Uvarint(b); n <= 0 {
			return errors.New("a packed list is cut off")
		}
		b = b[n:]
	}
	if said > uint64(values) {
		return fmt.Errorf("a page of %d values has %d packed", values, said)
	}
	return nil
}
