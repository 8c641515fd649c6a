package api

import (
	"bytes"
	"compress/gzip"
	"net/http"
	"strconv"
	"strings"
	"sync"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
)

// keptPage is a page that is the same for everybody for as long as the program runs: made when it is first asked for. Such pages
// are long, so that they travel packed to whoever takes that.
type keptPage struct {
	once          sync.Once
	plain, packed version
	err           error
}

// version is a page as it travels. Each has a tag of its own, since a strong one stands for the bytes.
type version struct {
	body []byte
	tag  string
}

func newVersion(body []byte) version { return version{body, hashTag(string(body))} }

// showKept writes a kept page, or says that whoever asks has it already.
func (s *service) showKept(c *gin.Context, k *keptPage, frame func() (name string, f *page.Frame, err error)) error {
	k.once.Do(func() {
		name, f, err := frame()
		if err != nil {
			k.err = err
			return
		}
		var b bytes.Buffer
		f.Version = s.Version
		k.err = s.pages.Render(&b, name, f)
		k.plain = newVersion(b.Bytes())
		k.packed = newVersion(packed(b.Bytes()))
	})
	if k.err != nil {
		return k.err
	}
	sent, h := k.plain, c.Writer.Header()
	h.Set("Vary", "Accept-Encoding")
	if takesGzip(c.GetHeader("Accept-Encoding")) {
		sent = k.packed
		h.Set("Content-Encoding", "gzip")
	}
	if known := c.GetHeader("If-None-Match"); matches(&known, k.plain.tag) || matches(&known, k.packed.tag) {
		h.Del("Content-Encoding")
		return notModified{sent.tag}.send(c.Writer)
	}
	tagged(h, sent.tag)
	s.sendPage(c, http.StatusOK, sent.body)
	return nil
}

// packed is a text in gzip, as small as that gets.
func packed(text []byte) []byte {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err == nil {
		_, err = w.Write(text)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		panic("api: packing into memory: " + err.Error()) // which cannot fail
	}
	return b.Bytes()
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
