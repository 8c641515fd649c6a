package api

import (
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"strconv"
	"strings"
)

var jsonType = []string{"application/json"}

// sendJSON writes a whole JSON body. With an ETag, clients may keep it but must ask each time whether it still holds.
func sendJSON(w http.ResponseWriter, status int, body []byte, etag string) error {
	h := w.Header()
	h["Content-Type"] = jsonType
	h["Content-Length"] = []string{strconv.Itoa(len(body))}
	if etag != "" {
		tagged(h, etag)
	}
	w.WriteHeader(status)
	_, err := w.Write(body)
	return err
}

func tagged(h http.Header, etag string) {
	h["Etag"] = []string{etag}
	h["Cache-Control"] = private
}

// notModified answers 304.
type notModified struct{ etag string }

func (n notModified) send(w http.ResponseWriter) error {
	tagged(w.Header(), n.etag)
	leavePolicies(w.Header())
	w.WriteHeader(http.StatusNotModified)
	return nil
}

// leavePolicies takes out of a 304 what would put other policies on what the client has: a browser takes the headers of a 304 for those of
// the kept answer (RFC 9111, 4.3.4), and a page without its style is what came of it.
func leavePolicies(h http.Header) {
	delete(h, "Content-Security-Policy")
	delete(h, "X-Frame-Options")
}

// hashTag is an ETag over everything an answer is made of.
func hashTag(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		_, _ = h.Write([]byte(strconv.Itoa(len(p)) + ":" + p)) // a hash takes everything
	}
	return `"` + hex.EncodeToString(h.Sum(nil)[:16]) + `"`
}

// matches reports whether a list of ETags (If-Match, If-None-Match) has this one, or is *. Weak tags count as their strong
// ones: ours are all strong.
func matches(list *string, etag string) bool {
	if list == nil {
		return false
	}
	for _, t := range strings.Split(*list, ",") {
		t = strings.TrimPrefix(strings.TrimSpace(t), "W/")
		if t == "*" || t == etag {
			return true
		}
	}
	return false
}
