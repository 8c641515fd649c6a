package api

import (
	"errors"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/storage"
)

// AccessOptions say who may do what. The zero value asks nobody for a key.
type AccessOptions struct {
	Keys          bool // whether a key is needed for all that is not public
	AnyoneMayRead bool // with Keys: for changes alone
	// RequestsPerSecond is how many requests one key, or one address without a key, may make in the long run, twice as many at once;
	// 0: as many as it likes.
	RequestsPerSecond float64
	// TrustedProxies are the addresses or networks of proxies whose word on whom they ask for is taken.
	TrustedProxies []string
}

// public needs no key.
const public storage.Scope = ""

// publicRoutes are open to everybody: what a club shows, and what tells how to get in.
var publicRoutes = map[string]bool{
	"/": true, "/assets/:hash/:file": true, "/problems": true, "/problems/:slug": true, "/method": true, "/contract": true, "/openapi.yaml": true, "/livez": true, "/readyz": true,
	"/signin": true, "/signout": true, "/units": true,
	"/club": true, "/club/sites/:id": true, "/club/sites/:id/embed": true, "/club/sites/:id/charts/:file": true, "/club/feed.atom": true, "/oembed": true, "/sites/:id/card.svg": true,
	"/v1/problems": true, "/v1/methods": true, "/v1/club/board": true, "/v1/club/sites/:id": true,
}

// computing posts keep nothing.
var computing = map[string]bool{"/v1/estimates": true, "/v1/rotors/balance": true}

// scopeOf is what a request of a route needs. It is the one place that says so.
func scopeOf(method, route string) storage.Scope {
	switch {
	case publicRoutes[route], route == "": // nothing is there
		return public
	case strings.HasPrefix(route, "/v1/keys"):
		return storage.ScopeAdmin
	case method == http.MethodGet || method == http.MethodHead || computing[route]:
		return storage.ScopeRead
	}
	return storage.ScopeWrite
}

var ranks = map[storage.Scope]int{public: 0, storage.ScopeRead: 1, storage.ScopeWrite: 2, storage.ScopeAdmin: 3}

// keyContext is where a request's key is kept for handlers.
const keyContext = "mastworth/key"

// access lets a request through whose key, if it needs one, opens what it asks for.
func (s *service) access(c *gin.Context) {
	key, err := s.keyOf(c)
	if err != nil {
		s.refuse(c, err)
		return
	}
	if s.limits.any() && !s.limits.allow(s.caller(c, key), s.Now()) {
		s.refuse(c, &problem{kind: tooMany, detail: "more requests came from here than are answered at a time", retryAfter: 1})
		return
	}
	need := scopeOf(c.Request.Method, c.FullPath())
	if key != nil {
		c.Set(keyContext, key)
	}
	switch {
	case !s.Access.Keys && need != storage.ScopeAdmin, ranks[need] == 0, s.Access.AnyoneMayRead && need == storage.ScopeRead:
	case key == nil:
		s.askForKey(c)
	case ranks[key.Scope] < ranks[need]:
		s.refuse(c, newProblem(keyTooNarrow, "the key %q has the scope %s; this needs the scope %s", key.Name, key.Scope, need))
	}
	if !c.IsAborted() {
		c.Next()
	}
}

// mayWrite reports whether whoever sent a request that was let through may change things too, and by which key; nil for none.
func (s *service) mayWrite(c *gin.Context) (*storage.Key, bool) {
	at, _ := c.Get(keyContext)
	key, _ := at.(*storage.Key)
	if !s.Access.Keys {
		return key, true
	}
	return key, key != nil && ranks[key.Scope] >= ranks[storage.ScopeWrite]
}

// keyOf is the key a request shows, as a bearer or by the cookie of a signed-in browser; nil for none. A key that opens nothing is
// refused rather than taken for none.
func (s *service) keyOf(c *gin.Context) (*storage.Key, error) {
	if header := c.GetHeader("Authorization"); header != "" {
		secret, ok := strings.CutPrefix(header, "Bearer ")
		if !ok {
			return nil, newProblem(keyNeeded, "the Authorization header must be Bearer and a key")
		}
		key, err := s.Store.KeyByHash(requestContext(c), storage.HashSecret(strings.TrimSpace(secret)))
		switch {
		case errors.Is(err, storage.ErrNotFound) || err == nil && !key.Valid(s.Now()):
			return nil, newProblem(keyNeeded, "the key is none that this service knows, or it has expired")
		case err != nil:
			return nil, stored(err)
		}
		return &key, nil
	}
	return s.session(c)
}

// askForKey sends a browser to the page where one signs in, and tells everybody else.
func (s *service) askForKey(c *gin.Context) {
	if c.Request.Method == http.MethodGet && strings.Contains(c.GetHeader("Accept"), "text/html") && !strings.HasPrefix(c.FullPath(), "/v1/") {
		c.Redirect(http.StatusSeeOther, "/signin?next="+url.QueryEscape(c.Request.URL.RequestURI()))
		c.Abort()
		return
	}
	c.Writer.Header().Set("WWW-Authenticate", "Bearer")
	s.refuse(c, newProblem(keyNeeded, "send a key: Authorization: Bearer KEY; whoever runs the service makes one with mastworth keys create"))
}

// caller is whom a request is counted against.
func (s *service) caller(c *gin.Context, key *storage.Key) string {
	if key != nil {
		return "key " + key.ID
	}
	return "address " + c.ClientIP()
}
