package ingest

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
)

// Limits of compressed files. Tables of measurements shrink to between a twentieth and a third; a table of nothing but
// one code for missing to about a two-hundredth. What grows further is made to fill a memory, not to be read.
const (
	mostUnpackRatio   = 300
	unpackAllowance   = 4 << 20 // bytes that may come out whatever the ratio
	mostUnpackedBytes = 4 << 30
	mostArchiveBytes  = 512 << 20 // of a zip archive, which is held in memory as a whole
	mostMembers       = 10_000
)

// unwrap looks at the first bytes and, where they are gzip or zip, replaces the source by one of what is inside. member
// is the name of the file in the archive, if it has one.
func unwrap(src *source, o *Options) (inner *source, member string, err error) {
	head, err := src.peek(4)
	if err != nil {
		return nil, "", err
	}
	var r io.Reader
	switch {
	case bytes.HasPrefix(head, []byte("\x1f\x8b")):
		z, err := gzip.NewReader(sourceReader{src})
		if err != nil {
			return nil, "", damaged(src, "gzip", err)
		}
		member, r = z.Name, z
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("PK\x05\x06")):
		if r, member, err = openZip(src); err != nil {
			return nil, "", err
		}
	default:
		return src, "", nil
	}
	inside := *o
	inside.Progress, inside.SizeHint = nil, 0 // progress counts the packed bytes, whose number is known
	inner = newSource(&unpacker{r: r, packed: src, what: "compressed file"}, &inside)
	if again, err := inner.peek(4); err == nil && (bytes.HasPrefix(again, []byte("\x1f\x8b")) || bytes.HasPrefix(again, []byte("PK\x03\x04"))) {
		return nil, "", &ReadError{Reason: "the compressed file holds another compressed file", Remedy: "unpack the outer one first", err: ErrUnknownFormat}
	}
	return inner, text([]byte(member)), nil
}

// sourceReader reads on where a source stands.
type sourceReader struct{ src *source }

func (s sourceReader) Read(p []byte) (int, error) {
	if s.src.pos == s.src.end && s.src.err == nil {
		s.src.fill()
	}
	if s.src.pos == s.src.end && s.src.err != nil {
		return 0, s.src.err
	}
	n := copy(p, s.src.buf[s.src.pos:s.src.end])
	s.src.pos += n
	return n, nil
}

// unpacker keeps what comes out of a compressed file within its limits, and tells damage from trouble with reading.
type unpacker struct {
	r      io.Reader
	packed *source
	out    int64
	what   string
}

func (u *unpacker) Read(p []byte) (int, error) {
	n, err := u.r.Read(p)
	u.out += int64(n)
	if u.out > unpackAllowance && u.out > mostUnpackRatio*u.packed.read || u.out > mostUnpackedBytes {
		return 0, &ReadError{
			Reason: fmt.Sprintf("the %s has grown to %d bytes out of %d, more than any record does", u.what, u.out, u.packed.read),
			Remedy: "give the record itself, unpacked",
		}
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return n, damaged(u.packed, u.what, err)
	}
	return n, err
}

// damaged is the error for a compressed file that cannot be unpacked, unless reading it failed.
func damaged(src *source, what string, err error) error {
	if broken := src.broken(); broken != nil {
		return broken
	}
	e := &ReadError{Reason: "the " + what + " is damaged: " + err.Error(), Remedy: "download it again, or give the record unpacked"}
	if strings.Contains(what, "workbook") {
		e.Remedy = "download it again, or save the sheet as CSV"
	}
	var corrupt flate.CorruptInputError
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		e.Reason = "the " + what + " ends before it is whole"
	case errors.As(err, &corrupt), errors.Is(err, gzip.ErrChecksum), errors.Is(err, zip.ErrChecksum):
		e.Reason = "the " + what + " is damaged"
	}
	return e
}

// openZip finds the one data file of an archive.
func openZip(src *source) (r io.Reader, member string, err error) {
	var body bytes.Buffer
	if _, err := io.Copy(&body, io.LimitReader(sourceReader{src}, mostArchiveBytes+1)); err != nil {
		return nil, "", err
	}
	if body.Len() > mostArchiveBytes {
		return nil, "", &ReadError{Reason: fmt.Sprintf("the archive is larger than %d bytes", mostArchiveBytes), Remedy: "unpack it first"}
	}
	z, err := zip.NewReader(bytes.NewReader(body.Bytes()), int64(body.Len()))
	if err != nil {
		return nil, "", damaged(src, "zip archive or spreadsheet workbook", err)
	}
	f, err := dataMember(z.File)
	if err != nil {
		return nil, "", err
	}
	if f.Flags&1 != 0 {
		return nil, "", &ReadError{Reason: fmt.Sprintf("%q in the archive is locked with a password", f.Name), Remedy: "unpack it first", err: ErrUnknownFormat}
	}
	rc, err := f.Open()
	if err != nil {
		return nil, "", damaged(src, "zip archive", err)
	}
	return rc, f.Name, nil
}

// Endings of files that hold records, and of those that come along with them.
var (
	dataEndings = []string{".csv", ".txt", ".tsv", ".tab", ".psv", ".dat", ".epw", ".json", ".parquet", ".log", ".asc"}
	sideEndings = []string{".pdf", ".htm", ".html", ".xml", ".md", ".png", ".jpg", ".jpeg", ".gif", ".ddy", ".stat", ".clm", ".rain",
		".url", ".doc", ".docx", ".ini", ".sha256", ".md5", ".yaml", ".yml"}
)

// dataMember is the one file of an archive that can hold a record.
func dataMember(files []*zip.File) (*zip.File, error) {
	if len(files) > mostMembers {
		return nil, &ReadError{Reason: fmt.Sprintf("the archive holds %d files", len(files)), Remedy: "give the file with the record alone"}
	}
	var sure, maybe []*zip.File
	for _, f := range files {
		base := strings.ToLower(path.Base(f.Name))
		ending := path.Ext(base)
		switch {
		case f.Name == "[Content_Types].xml" || base == "mimetype" && len(files) > 3:
			return nil, &ReadError{Reason: "the content is a zip archive that holds a spreadsheet workbook, not a wind record", Remedy: "save the sheet as CSV",
				err: ErrUnknownFormat}
		case f.FileInfo().IsDir() || strings.HasPrefix(f.Name, "__MACOSX/") || strings.HasPrefix(base, ".") || slices.Contains(sideEndings, ending):
		case strings.HasPrefix(base, "readme") || strings.HasPrefix(base, "licen"):
		case slices.Contains(dataEndings, ending):
			sure = append(sure, f)
		default:
			maybe = append(maybe, f)
		}
	}
	if len(sure) == 0 {
		sure = maybe
	}
	switch len(sure) {
	case 0:
		return nil, &ReadError{Reason: "the zip archive holds no file that can be a record", Remedy: "give the record itself, as CSV or another text table",
			err: ErrUnknownFormat}
	case 1:
		return sure[0], nil
	}
	names := make([]string, len(sure))
	for i, f := range sure {
		names[i] = text([]byte(f.Name))
	}
	return nil, &ReadError{Reason: fmt.Sprintf("the zip archive holds %d files that can be records: %s", len(sure), some(names, 10)),
		Remedy: "unpack it and give one of them, such as " + names[0], err: ErrUnknownFormat}
}
