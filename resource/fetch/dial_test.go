package fetch

import (
	"errors"
	"net/http"
	"net/netip"
	"strings"
	"testing"
)

// Blocks of the IANA special-purpose address registries and their neighbours.
func TestPublicAddresses(t *testing.T) {
	for list, want := range map[string]bool{
		"0.0.0.0 0.1.2.3 10.0.0.1 10.255.255.255 100.64.0.1 100.127.255.255 127.0.0.1 127.9.9.9 169.254.169.254 172.16.0.1 172.31.255.255 " +
			"192.0.0.8 192.0.2.1 192.168.0.1 192.168.255.255 198.18.0.1 198.19.255.255 198.51.100.7 203.0.113.9 224.0.0.1 239.1.2.3 240.0.0.1 255.255.255.255 " +
			":: ::1 ::7f00:1 ::ffff:127.0.0.1 ::ffff:10.1.2.3 64:ff9b::7f00:1 64:ff9b:1::1 100::1 2001::1 2001:db8::1 2002:7f00:1::1 3fff::1 " +
			"fc00::1 fdff::1 fe80::1 fe80::1%eth0 fec0::1 ff02::1": false,
		"1.1.1.1 9.255.255.255 11.0.0.0 100.63.255.255 100.128.0.0 126.255.255.255 128.0.0.0 169.253.255.255 172.15.255.255 172.32.0.0 " +
			"192.167.255.255 192.169.0.0 198.17.255.255 198.20.0.0 223.255.255.255 2600::1 2a00:1450::1 ::ffff:8.8.8.8": true,
	} {
		for _, s := range strings.Fields(list) {
			if got := public(netip.MustParseAddr(s)); got != want {
				t.Errorf("%s: public %v", s, got)
			}
		}
	}
	if public(netip.Addr{}) {
		t.Error("no address is public")
	}
}

// No private address is connected to: not as the service's own, not by a name, not by a redirect.
func TestPrivateAddresses(t *testing.T) {
	inside := newStub(t, say(200, "text/csv", good()))
	outside := newStub(t, func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, inside.URL, http.StatusFound) })
	port := inside.URL[strings.LastIndexByte(inside.URL, ':'):]
	for name, k := range map[string]struct {
		base    string
		allowed bool
	}{
		"as the service": {inside.URL, false},
		"by a name":      {"http://localhost" + port, false},
		"version 6":      {"http://[::ffff:127.0.0.1]" + port, false},
		"by a redirect":  {outside.URL, true},
	} {
		c, _ := newClient(t, k.base, func(o *Options) { o.AllowPrivate, o.Retries = k.allowed, -1 })
		if err := fetch1(t, c); !errors.Is(err, ErrPrivate) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if inside.count() != 0 {
		t.Errorf("the private service was asked %d times", inside.count())
	}
}

func TestRedirectsStayInHTTPS(t *testing.T) {
	from, _ := http.NewRequestWithContext(t.Context(), http.MethodGet, "https://example.org/", http.NoBody)
	for to, good := range map[string]bool{"https://example.com/": true, "http://example.org/": false, "ftp://example.org/": false, "https://user@example.org/": false} {
		next, _ := http.NewRequestWithContext(t.Context(), http.MethodGet, to, http.NoBody)
		if err := checkRedirect(next, []*http.Request{from}); (err == nil) != good {
			t.Errorf("%s: %v", to, err)
		}
	}
}
