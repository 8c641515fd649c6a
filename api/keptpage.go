package api

import (
	"bytes"
	"net/http"
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
		var small bytes.Buffer
		pack(&small, b.Bytes())
		k.packed = newVersion(small.Bytes())
	})
	if k.err != nil {
		return k.err
	}
	sent, h := k.plain, c.Writer.Header()
	addVary(h, "Accept-Encoding")
	if takesGzip(c.GetHeader("Accept-Encoding")) {
		sent = k.packed
		h.Set("Content-Encoding", "gzip")
	}
	if known := c.GetHeader("If-None-Match"); matches(&known, k.plain.tag) || matches(&known, k.packed.tag) {
		h.Del("Content-Encoding")
		return notModified{sent.tag}.send(c.Writer)
	}
	tagged(h, sent.tag)
	s.sendAsIs(c, http.StatusOK, sent.body)
	return nil
}
