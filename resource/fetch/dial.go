package fetch

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"syscall"
)

// notPublic are the address blocks that no public service has, beyond those that netip knows by name (IANA special-purpose
// address registries for IPv4 and IPv6; RFC 6890). 6to4, Teredo and NAT64 are among them because they carry an IPv4
// address within, which may be a private one.
var notPublic = prefixes("0.0.0.0/8 100.64.0.0/10 192.0.0.0/24 192.0.2.0/24 192.88.99.0/24 198.18.0.0/15 198.51.100.0/24 " +
	"203.0.113.0/24 240.0.0.0/4 ::/96 64:ff9b::/96 64:ff9b:1::/48 100::/64 2001::/23 2001:db8::/32 2002::/16 3fff::/20 5f00::/16 fec0::/10")

func prefixes(list string) []netip.Prefix {
	var out []netip.Prefix
	for _, s := range strings.Fields(list) {
		out = append(out, netip.MustParsePrefix(s))
	}
	return out
}

// public says whether an address may be connected to.
func public(a netip.Addr) bool {
	a = a.Unmap().WithZone("")
	if !a.IsValid() || !a.IsGlobalUnicast() || a.IsPrivate() || a.IsLoopback() || a.IsLinkLocalUnicast() || a.IsMulticast() {
		return false
	}
	for _, p := range notPublic {
		if p.Contains(a) {
			return false
		}
	}
	return true
}

// refusePrivate runs between the resolving of a name and the connection, so that it sees the very address that is
// connected to, whatever a name server says the next time.
func refusePrivate(_, address string, _ syscall.RawConn) error {
	a, err := netip.ParseAddrPort(address)
	if err != nil {
		return fmt.Errorf("%w: %s", ErrPrivate, address)
	}
	if !public(a.Addr()) {
		return fmt.Errorf("%w: %s", ErrPrivate, a.Addr())
	}
	return nil
}

// mirrors are host:port of the services' own addresses if they may be private.
func mirrors(o *Options) map[string]bool {
	m := map[string]bool{}
	if !o.AllowPrivate {
		return m
	}
	s := o.Sources
	for _, base := range []string{s.NASAPower, s.OpenMeteo, s.StationList, s.ISDLite, s.ISDHourly, s.GHCNHourly, s.AirportReports} {
		if u, err := url.Parse(base); err == nil {
			m[hostPort(u)] = true
		}
	}
	return m
}

func hostPort(u *url.URL) string {
	port := u.Port()
	if port == "" {
		port = "443"
		if u.Scheme == "http" {
			port = "80"
		}
	}
	return net.JoinHostPort(u.Hostname(), port)
}

// newHTTP makes the one HTTP client of a Client.
func newHTTP(o *Options) *http.Client {
	private := mirrors(o)
	dial := func(ctx context.Context, network, address string) (net.Conn, error) {
		d := net.Dialer{Timeout: o.Timeouts.Connect}
		if !private[address] {
			d.Control = refusePrivate
		}
		return d.DialContext(ctx, network, address)
	}
	return &http.Client{
		Transport: &http.Transport{
			Proxy:                  nil, // see the package comment
			DialContext:            dial,
			TLSHandshakeTimeout:    o.Timeouts.Connect,
			ResponseHeaderTimeout:  o.Timeouts.Answer,
			MaxResponseHeaderBytes: 64 << 10,
			MaxIdleConnsPerHost:    2,
			IdleConnTimeout:        o.Timeouts.Idle,
			DisableCompression:     true, // unpacked here, with a limit
			ForceAttemptHTTP2:      true,
		},
		CheckRedirect: checkRedirect,
	}
}

// checkRedirect follows a few steps, never out of https. Where a step leads to is checked on connecting.
func checkRedirect(next *http.Request, via []*http.Request) error {
	const steps = 5
	last := via[len(via)-1].URL
	switch {
	case len(via) > steps:
		return fmt.Errorf("%w: more than %d of them", errRedirect, steps)
	case next.URL.Scheme != "https" && (next.URL.Scheme != "http" || last.Scheme == "https"):
		return fmt.Errorf("%w: from %s to %s", errRedirect, last.Scheme, next.URL.Scheme)
	case next.URL.User != nil:
		return fmt.Errorf("%w: it names a user", errRedirect)
	}
	return nil
}
