package api

import (
	"fmt"
	"net/netip"
	"strings"

	"github.com/gin-gonic/gin"
)

// proxies are the networks whose word is taken on whom they ask for and how they were reached themselves.
type proxies []netip.Prefix

// proxiesOf reads addresses and networks.
func proxiesOf(words []string) (proxies, error) {
	var out proxies
	for _, w := range words {
		if a, err := netip.ParseAddr(w); err == nil {
			out = append(out, netip.PrefixFrom(a, a.BitLen()))
			continue
		}
		p, err := netip.ParsePrefix(w)
		if err != nil {
			return nil, fmt.Errorf("%q is neither an address nor a network", w)
		}
		out = append(out, p.Masked())
	}
	return out, nil
}

// trust reports whether an address is one of theirs.
func (p proxies) trust(address string) bool {
	a, err := netip.ParseAddr(address)
	if err != nil {
		return false
	}
	for _, network := range p {
		if network.Contains(a.Unmap()) || network.Contains(a) {
			return true
		}
	}
	return false
}

const forwardedScheme = "X-Forwarded-Proto"

// overTLS reports whether a request came over TLS, to the service or to a proxy that may say so.
func (s *service) overTLS(c *gin.Context) bool {
	return c.Request.TLS != nil || saidTLS(c) && s.proxies.trust(c.RemoteIP())
}

// saidTLS reports whether a request says of itself that it came over TLS. Whoever says it wrongly gets a cookie that is of no use
// to him, so that a proxy nobody named is believed in that alone.
func saidTLS(c *gin.Context) bool {
	first, _, _ := strings.Cut(c.GetHeader(forwardedScheme), ",")
	return strings.EqualFold(strings.TrimSpace(first), "https")
}

// secureCookie is whether a cookie may go over TLS alone.
func secureCookie(c *gin.Context) bool { return c.Request.TLS != nil || saidTLS(c) }
