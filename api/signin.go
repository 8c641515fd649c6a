package api

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
	"mastworth/storage"
)

// A browser's session is a cookie: the key's id, when it ends, and a signature by the hash of the key's secret, which the store alone
// has. So every instance over one store knows every session, and deleting a key ends its sessions.
const (
	sessionCookie = "mastworth_session"
	sessionTime   = 7 * 24 * time.Hour
	clockSlack    = 24 * time.Hour // by which the clocks of instances may differ
	maxSecret     = 200
)

func sign(k *storage.Key, until string) string {
	mac := hmac.New(sha256.New, k.Hash)
	mac.Write([]byte("session " + k.ID + " " + until)) //nolint:errcheck // a hash takes everything
	return hex.EncodeToString(mac.Sum(nil))
}

// session is the key of a signed-in browser; nil for none, or one that has ended.
func (s *service) session(c *gin.Context) (*storage.Key, error) {
	value, err := c.Cookie(sessionCookie)
	if err != nil {
		return nil, nil //nolint:nilerr // no cookie, no session
	}
	parts := strings.Split(value, ".")
	if len(parts) != 3 || checkID(parts[0]) != "" { // a database may not take just any text
		return nil, nil
	}
	until, err := strconv.ParseInt(parts[1], 10, 64)
	// A session that ends later than any that begins now was begun when the clock was wrong; it would last until the clock has caught up.
	if left := until - s.Now().Unix(); err != nil || left <= 0 || left > int64((sessionTime+clockSlack).Seconds()) {
		return nil, nil //nolint:nilerr // a session of nobody's
	}
	key, err := s.Store.Key(requestContext(c), parts[0])
	switch {
	case errors.Is(err, storage.ErrNotFound):
		return nil, nil
	case err != nil:
		return nil, stored(err)
	case !key.Valid(s.Now()) || !hmac.Equal([]byte(parts[2]), []byte(sign(&key, parts[1]))):
		return nil, nil
	}
	return &key, nil
}

func (s *service) setSession(c *gin.Context, value string, age time.Duration) {
	http.SetCookie(c.Writer, &http.Cookie{Name: sessionCookie, Value: value, Path: "/", MaxAge: int(age.Seconds()), HttpOnly: true,
		Secure: secureCookie(c), SameSite: http.SameSiteLaxMode})
}

// signIn is what the page of that name shows.
type signIn struct {
	Next  string
	Fault string
	Key   *storage.Key // that the browser is signed in with
}

func (s *service) readSignIn(c *gin.Context) error {
	shown := signIn{Next: localPath(c.Query("next"))}
	if k, ok := c.Get(keyContext); ok {
		shown.Key, _ = k.(*storage.Key)
	}
	f := &page.Frame{Title: page.Text("signin.title"), Page: shown}
	if shown.Key != nil {
		f.Scripts = []string{"signout.js"}
	}
	return s.show(c, "signin", f)
}

func (s *service) signIn(c *gin.Context) error {
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, 4<<10)
	form, err := s.readForm(c)
	if err != nil {
		return err
	}
	secret, next := strings.TrimSpace(form.Get("key")), localPath(form.Get("next"))
	key, err := s.Store.KeyByHash(requestContext(c), storage.HashSecret(secret))
	switch {
	case len(secret) > maxSecret, errors.Is(err, storage.ErrNotFound), err == nil && !key.Valid(s.Now()):
		return s.showWith(c, http.StatusUnprocessableEntity, "signin", &page.Frame{Title: page.Text("signin.title"),
			Page: signIn{Next: next, Fault: page.Text("signin.wrong")}})
	case err != nil:
		return stored(err)
	}
	until := strconv.FormatInt(s.Now().Add(sessionTime).Unix(), 10)
	s.setSession(c, key.ID+"."+until+"."+sign(&key, until), sessionTime)
	c.Redirect(http.StatusSeeOther, next)
	return nil
}

func (s *service) signOut(c *gin.Context) error {
	s.setSession(c, "", -time.Second)
	c.Redirect(http.StatusSeeOther, "/")
	return nil
}

// localPath is an address of this service, or the start page for anything else.
func localPath(next string) string {
	if len(next) < 1 || len(next) > 1000 || next[0] != '/' || len(next) > 1 && (next[1] == '/' || next[1] == '\\') ||
		strings.ContainsFunc(next, func(r rune) bool { return r < ' ' || r == '\\' }) {
		return "/"
	}
	return next
}
