package ingest

import (
	"bytes"
	"fmt"
)

// headBytes is how much of a file is looked at before it is read: enough for long preambles and a few hundred rows.
const headBytes = 256 << 10

// magics are the first bytes of files that people drop by mistake, with what to say to them.
var magics = []struct{ prefix, what, remedy string }{
	{"\xff\xd8\xff", "a JPEG picture", "give the record itself, as text"},
	{"\x89PNG", "a PNG picture", "give the record itself, as text"},
	{"GIF8", "a GIF picture", "give the record itself, as text"},
	{"%PDF", "a PDF document", "export the table as CSV"},
	{"\xd0\xcf\x11\xe0", "an old spreadsheet workbook", "save the sheet as CSV"},
	{"CDF\x01", "a NetCDF file", "export it as CSV"},
	{"CDF\x02", "a NetCDF file", "export it as CSV"},
	{"\x89HDF", "a NetCDF or HDF file", "export it as CSV"},
	{"SQLite format 3", "a database", "export the table as CSV"},
}

// refuse recognises what no reader should see: nothing at all, binary files, web pages, error answers.
func refuse(head []byte) error {
	body := bytes.TrimLeft(head, " \t\r\n")
	if len(body) == 0 {
		return &ReadError{Reason: "the file is empty", Remedy: "give a record with at least one row"}
	}
	for _, m := range magics {
		if bytes.HasPrefix(head, []byte(m.prefix)) {
			return &ReadError{Reason: "the content is " + m.what + ", not a wind record", Remedy: m.remedy, err: ErrUnknownFormat}
		}
	}
	if looksParquet(head) {
		return nil
	}
	if n := controls(head); n > 0 {
		return &ReadError{
			Reason: fmt.Sprintf("the content is binary (%d control bytes near its beginning), not a text table", n),
			Remedy: "export the record as CSV",
			err:    ErrUnknownFormat,
		}
	}
	if body[0] == '<' {
		return &ReadError{
			Reason: "the content is a web page or XML, not a wind record",
			Remedy: "download the data file itself; a page in its place often means that a log-in or an error page was saved",
			err:    ErrUnknownFormat,
		}
	}
	if (body[0] == '{' || body[0] == '[') && !looksOpenMeteo(head) && !looksPowerJSON(head) {
		return &ReadError{
			Reason: "the content is JSON of a kind that cannot be read",
			Remedy: "ask the service for CSV; if the text begins with an error message, the request was wrong",
			err:    ErrUnknownFormat,
		}
	}
	return nil
}

// controls counts bytes that no text file holds. Tabs, line ends, form feeds and the old end-of-file mark are text.
func controls(head []byte) int {
	n := 0
	for _, c := range head[:min(len(head), 4096)] {
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' && c != 0x1a {
			n++
		}
	}
	return n
}

// looksText takes anything that refuse let through.
func looksText([]byte) bool { return true }

// firstLines cuts the head into at most n lines, without their ends.
func firstLines(head []byte, n int) [][]byte {
	var lines [][]byte
	for len(head) > 0 && len(lines) < n {
		line, rest, _ := bytes.Cut(head, []byte{'\n'})
		lines = append(lines, bytes.TrimSuffix(line, []byte{'\r'}))
		head = rest
	}
	return lines
}
