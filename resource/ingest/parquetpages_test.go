package ingest

import (
	"bytes"
	"encoding/binary"
	"errors"
	"runtime"
	"strings"
	"testing"

	"github.com/klauspost/compress/snappy"
	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/encoding/thrift"
	"github.com/parquet-go/parquet-go/format"
)

// Files that are packed as this program never does are refused: what they unpack to cannot be told beforehand.
func TestParquetOfOthers(t *testing.T) {
	stamps := parquet.Encoded(parquet.Timestamp(parquet.Millisecond), &parquet.DeltaBinaryPacked)
	speeds := parquet.Optional(parquet.Leaf(parquet.DoubleType))
	rows := []map[string]any{{"time": int64(0), "speed_10m_m_s": 4.0}, {"time": int64(3600_000), "speed_10m_m_s": nil}}
	for name, c := range map[string]struct {
		stamps, speeds parquet.Node
		options        []parquet.WriterOption
		fine           bool
	}{
		"ours":            {stamps, parquet.Compressed(speeds, &parquet.Snappy), nil, true},
		"unpacked":        {stamps, speeds, nil, true},
		"times in Snappy": {parquet.Compressed(stamps, &parquet.Snappy), speeds, nil, true},
		"Zstandard":       {stamps, parquet.Compressed(speeds, &parquet.Zstd), nil, false},
		"gzip":            {parquet.Compressed(stamps, &parquet.Gzip), speeds, nil, false},
		"a dictionary":    {stamps, parquet.Encoded(speeds, &parquet.RLEDictionary), nil, false},
		"split bytes":     {stamps, parquet.Encoded(speeds, &parquet.ByteStreamSplit), nil, false},
		"first version":   {stamps, speeds, []parquet.WriterOption{parquet.DataPageVersion(1)}, false},
	} {
		var b bytes.Buffer
		options := append(c.options, parquet.NewSchema("record", parquet.Group{"time": c.stamps, "speed_10m_m_s": c.speeds}))
		w := parquet.NewGenericWriter[map[string]any](&b, options...)
		if _, err := w.Write(rows); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		s, _, err := Read(bytes.NewReader(b.Bytes()), Options{})
		if c.fine {
			if err != nil || s.Len() != 2 || s.Channels[0].Values[0] != 4 {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		var re *ReadError
		if !errors.As(err, &re) || !strings.Contains(re.Reason, "does not use") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A page that claims more than is there, or more than it may hold, costs no memory.
func TestParquetPagesThatLie(t *testing.T) {
	good := parquetFile(t, []map[string]any{{"time": int64(0), "speed_10m_m_s": 4.0}, {"time": int64(3600_000), "speed_10m_m_s": 5.0}}, "speed_10m_m_s")
	const huge = 2_000_000_000
	for name, lie := range map[string]func(*format.PageHeader){
		"bytes":            func(h *format.PageHeader) { h.CompressedPageSize = huge },
		"bytes unpacked":   func(h *format.PageHeader) { h.UncompressedPageSize = huge },
		"below nothing":    func(h *format.PageHeader) { h.CompressedPageSize = -1 },
		"values":           func(h *format.PageHeader) { h.DataPageHeaderV2.V.NumValues = huge },
		"missing":          func(h *format.PageHeader) { h.DataPageHeaderV2.V.NumNulls = -huge },
		"levels":           func(h *format.PageHeader) { h.DataPageHeaderV2.V.DefinitionLevelsByteLength = huge },
		"repeated levels":  func(h *format.PageHeader) { h.DataPageHeaderV2.V.RepetitionLevelsByteLength = huge },
		"another kind":     func(h *format.PageHeader) { h.Type = format.DictionaryPage },
		"another encoding": func(h *format.PageHeader) { h.DataPageHeaderV2.V.Encoding = format.RLEDictionary },
	} {
		for column := range 2 {
			file := bytes.Clone(good)
			f, err := parquet.OpenFile(bytes.NewReader(file), int64(len(file)))
			if err != nil {
				t.Fatal(err)
			}
			at := f.Metadata().RowGroups[0].Columns[column].MetaData.DataPageOffset
			protocol := new(thrift.CompactProtocol)
			var h format.PageHeader
			if err := thrift.NewDecoder(protocol.NewReaderFromBytes(bytes.Clone(file[at:]))).Decode(&h); err != nil {
				t.Fatal(err)
			}
			lie(&h)
			head, err := thrift.Marshal(protocol, h)
			if err != nil {
				t.Fatal(err)
			}
			copy(file[at:], head) // over what follows, which nobody should come to
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, _, err = Read(bytes.NewReader(file), Options{})
			runtime.ReadMemStats(&after)
			var re *ReadError
			if !errors.As(err, &re) {
				t.Errorf("%s, column %d: %v", name, column, err)
			}
			if took := after.TotalAlloc - before.TotalAlloc; took > 2<<20 {
				t.Errorf("%s, column %d: refusing it took %d bytes: %v", name, column, took, err)
			}
		}
	}
}

// What the description at the end of the file says of its columns and groups costs no memory either.
func TestParquetDescriptionsThatLie(t *testing.T) {
	rows := []map[string]any{{"time": int64(0), "speed_10m_m_s": 4.0}, {"time": int64(3600_000), "speed_10m_m_s": 5.0}}
	good := parquetFile(t, rows, "speed_10m_m_s")
	column := func(d *format.FileMetaData) *format.ColumnMetaData { return &d.RowGroups[0].Columns[0].MetaData }
	for name, lie := range map[string]func(*format.FileMetaData){
		"nothing":            func(*format.FileMetaData) {},
		"rows":               func(d *format.FileMetaData) { d.NumRows = 1 << 40 },
		"rows below nothing": func(d *format.FileMetaData) { d.NumRows = -1 },
		"too few rows":       func(d *format.FileMetaData) { d.NumRows, d.RowGroups[0].NumRows = 1, 1<<40 },
		"the same again":     func(d *format.FileMetaData) { d.RowGroups = append(d.RowGroups, d.RowGroups[0]) },
		"beyond the file":    func(d *format.FileMetaData) { column(d).DataPageOffset = 1 << 40 },
		"before it":          func(d *format.FileMetaData) { column(d).DataPageOffset = -4 },
		"longer than it":     func(d *format.FileMetaData) { column(d).TotalCompressedSize = 1 << 40 },
		"length below 0":     func(d *format.FileMetaData) { column(d).TotalCompressedSize = -1 },
		"no pages":           func(d *format.FileMetaData) { column(d).TotalCompressedSize = 0 },
		"a dictionary":       func(d *format.FileMetaData) { column(d).DictionaryPageOffset = 4 },
		"another codec":      func(d *format.FileMetaData) { column(d).Codec = format.Gzip },
		"no such codec":      func(d *format.FileMetaData) { column(d).Codec = 99 },
		"two codecs": func(d *format.FileMetaData) {
			second := d.RowGroups[0]
			second.Columns = append([]format.ColumnChunk(nil), second.Columns...)
			second.Columns[0].MetaData.Codec = format.Uncompressed
			second.Columns[1].MetaData.Codec = format.Snappy
			d.RowGroups = append(d.RowGroups, second)
		},
		"a column too few": func(d *format.FileMetaData) { d.RowGroups[0].Columns = d.RowGroups[0].Columns[:1] },
		"another type":     func(d *format.FileMetaData) { column(d).Type = format.ByteArray },
	} {
		f, err := parquet.OpenFile(bytes.NewReader(good), int64(len(good)))
		if err != nil {
			t.Fatal(err)
		}
		d := f.Metadata()
		lie(d)
		description, err := thrift.Marshal(new(thrift.CompactProtocol), *d)
		if err != nil {
			t.Fatal(err)
		}
		end := len(good) - 8 - int(binary.LittleEndian.Uint32(good[len(good)-8:]))
		file := append(bytes.Clone(good[:end]), description...)
		file = append(binary.LittleEndian.AppendUint32(file, uint32(len(description))), "PAR1"...)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		s, _, err := Read(bytes.NewReader(file), Options{})
		runtime.ReadMemStats(&after)
		if took := after.TotalAlloc - before.TotalAlloc; took > 2<<20 {
			t.Errorf("%s: it took %d bytes: %v", name, took, err)
		}
		if name == "nothing" || name == "another type" { // the schema's type is the one that counts
			if err != nil || s.Len() != 2 || s.Channels[0].Values[1] != 5 {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		var re *ReadError
		if !errors.As(err, &re) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestCheckRuns(t *testing.T) {
	for name, c := range map[string]struct {
		levels []byte
		values int64
		fine   bool
	}{
		"none":           {nil, 5, true},
		"a run":          {[]byte{10 << 1, 1}, 10, true},
		"eights":         {[]byte{2<<1 | 1, 0xff, 0x0f}, 10, true},
		"too long a run": {[]byte{100 << 1, 1}, 10, false},
		"many runs":      {bytes.Repeat([]byte{10 << 1, 1}, 3), 10, false},
		"a giant":        {append(binary.AppendUvarint(nil, 1<<63), 1), 10, false},
		"giants":         {bytes.Repeat(append(binary.AppendUvarint(nil, 1<<33), 1), 4), 1 << 33, false},
		"giant eights":   {binary.AppendUvarint(nil, 1<<62|1), 10, false},
		"cut off":        {[]byte{0x80}, 10, false},
		"no level":       {[]byte{4}, 10, false},
		"cut off eights": {[]byte{2<<1 | 1, 0xff}, 16, false},
	} {
		if err := checkRuns(c.levels, c.values); (err == nil) != c.fine {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestCheckValues(t *testing.T) {
	list := func(said uint64) []byte {
		return binary.AppendUvarint(binary.AppendUvarint(binary.AppendUvarint(nil, 128), 4), said)
	}
	lying := binary.AppendUvarint(nil, 1<<31) // Snappy's own word of what it unpacks to
	for name, c := range map[string]struct {
		data     []byte
		encoding format.Encoding
		packed   bool
		fine     bool
	}{
		"plain":               {make([]byte, 80), format.Plain, false, true},
		"differences":         {list(10), format.DeltaBinaryPacked, false, true},
		"too many":            {list(11), format.DeltaBinaryPacked, false, false},
		"cut off":             {[]byte{128}, format.DeltaBinaryPacked, false, false},
		"in Snappy":           {snappy.Encode(nil, list(10)), format.DeltaBinaryPacked, true, true},
		"too many in Snappy":  {snappy.Encode(nil, list(1<<31)), format.DeltaBinaryPacked, true, false},
		"Snappy lies":         {lying, format.Plain, true, false},
		"Snappy lies of less": {append(binary.AppendUvarint(nil, 90), 0xff), format.DeltaBinaryPacked, true, false},
		"no Snappy":           {nil, format.Plain, true, false},
		"another":             {nil, format.DeltaByteArray, false, false},
	} {
		d := format.DataPageHeaderV2{NumValues: 10, Encoding: c.encoding}
		if err := checkValues(c.data, &d, c.packed, 100); (err == nil) != c.fine {
			t.Errorf("%s: %v", name, err)
		}
	}
}
