package api

import (
	"bytes"
	"net/http"
	"sync"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
)

// keptPage is a page that is the same for everybody for as long as the program runs: made when it is first asked for.
type keptPage struct {
	once sync.Once
	body []byte
	tag  string
	err  error
}

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
		k.body, k.tag = b.Bytes(), hashTag(b.String())
	})
	if k.err != nil {
		return k.err
	}
	if known := c.GetHeader("If-None-Match"); matches(&known, k.tag) {
		return notModified{k.tag}.send(c.Writer)
	}
	tagged(c.Writer.Header(), k.tag)
	s.sendPage(c, http.StatusOK, k.body)
	return nil
}
