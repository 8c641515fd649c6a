package api

import (
	"bytes"
	"compress/gzip"
	"strconv"
	"strings"
	"sync"
)

// packers are kept, since each holds more memory than most pages.
var packers = sync.Pool{New: func() any { return gzip.NewWriter(nil) }}

// pack writes a text in gzip.
func pack(to *bytes.Buffer, text []byte) {
	w := packers.Get().(*gzip.Writer)
	defer packers.Put(w)
	w.Reset(to)
	_, err := w.Write(text)
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		panic("api: packing into memory: " + err.Error()) // which cannot fail
	}
}

// takesGzip reads Accept-Encoding (RFC 9110, 12.5.3): gzip, unless its weight is 0.
func takesGzip(header string) bool {
	for coding := range strings.SplitSeq(header, ",") {
		name, weight, _ := strings.Cut(coding, ";")
		if strings.EqualFold(strings.TrimSpace(name), "gzip") {
			value, weighed := strings.CutPrefix(strings.ReplaceAll(weight, " ", ""), "q=")
			q, err := strconv.ParseFloat(value, 64)
			return !weighed || err == nil && q > 0
		}
	}
	return false
}
