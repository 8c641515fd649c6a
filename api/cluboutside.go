package api

import (
	"net/http"
	"regexp"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"
)

// The addresses that other websites may use, by route. All others keep to themselves; see frame.
var (
	forScripts  = []string{"/v1/club/board", "/v1/club/sites/:id", "/sites/:id/card.svg", "/club/feed.atom", "/oembed"}
	forPictures = []string{"/sites/:id/card.svg"}
	forFrames   = []string{"/club/sites/:id/embed"}
)

var (
	anyOrigin   = []string{"*"}
	crossOrigin = []string{"cross-origin"}
	varyOrigin  = []string{"Origin"}
	tellTag     = []string{"ETag"}
)

// toOthers opens the club's addresses to the websites that the settings name. Nothing there depends on who asks.
func (s *service) toOthers(c *gin.Context) {
	route, h := c.FullPath(), c.Writer.Header()
	if slices.Contains(forPictures, route) {
		h["Cross-Origin-Resource-Policy"] = crossOrigin
	}
	if slices.Contains(forFrames, route) {
		h.Del("X-Frame-Options") // the policy of content says who may
	}
	if len(s.Club.Origins) == 0 || !slices.Contains(forScripts, route) {
		return
	}
	if slices.Contains(s.Club.Origins, "*") {
		h["Access-Control-Allow-Origin"] = anyOrigin
	} else {
		h["Vary"] = varyOrigin
		origin := c.GetHeader("Origin")
		if !slices.Contains(s.Club.Origins, origin) {
			return
		}
		h["Access-Control-Allow-Origin"] = []string{origin}
	}
	h["Access-Control-Expose-Headers"] = tellTag
}

// framePolicy is a page's policy of content that lets other websites frame it.
func framePolicy(frames []string) []string {
	who := "frame-ancestors 'self' " + strings.Join(frames, " ")
	return []string{strings.Replace(pagePolicy[0], "frame-ancestors 'none'", strings.TrimSpace(who), 1)}
}

var hostPattern = regexp.MustCompile(`^[A-Za-z0-9.-]{1,253}(:[0-9]{1,5})?$|^\[[0-9A-Fa-f:.]{2,45}\](:[0-9]{1,5})?$`)

// address is how the world reaches the service: by the settings, else as the request has it. It is empty where neither is fit.
func (s *service) address(c *gin.Context) string {
	switch {
	case s.Club.Address != "":
		return s.Club.Address
	case !hostPattern.MatchString(c.Request.Host):
		return ""
	case s.overTLS(c):
		return "https://" + c.Request.Host
	}
	return "http://" + c.Request.Host
}

// sendShared writes an answer that everybody may have and keep for a while.
func (s *service) sendShared(c *gin.Context, contentType, etag string, body []byte) {
	h := c.Writer.Header()
	h["Content-Type"] = []string{contentType}
	h["Etag"] = []string{etag}
	h["Cache-Control"] = shared
	c.Writer.WriteHeader(http.StatusOK)
	if _, err := c.Writer.Write(body); err != nil {
		s.unanswered(c, err)
	}
}

// hasAlready answers 304 to a client that has what an ETag names.
func (s *service) hasAlready(c *gin.Context, etag string) bool {
	list := c.GetHeader("If-None-Match")
	if list == "" || !matches(&list, etag) {
		return false
	}
	h := c.Writer.Header()
	h["Etag"] = []string{etag}
	h["Cache-Control"] = shared
	leavePolicies(h)
	c.Writer.WriteHeader(http.StatusNotModified)
	c.Writer.WriteHeaderNow()
	return true
}
