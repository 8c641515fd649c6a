package fetch

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// The kinds of failure. They come wrapped in an *Error, which says where, why and what to do.
var (
	ErrOffline     = errors.New("offline, and not in the cache")     // Options.Offline is set and an answer is not cached
	ErrRefused     = errors.New("the service refuses")               // an HTTP status other than success
	ErrUnreachable = errors.New("the service cannot be reached")     // no connection, a cut one, or one too slow
	ErrPrivate     = errors.New("the address is not public")         // a name, a number or a redirect leads to a private network
	ErrTooLarge    = errors.New("the answer is too large")           // more than Options.MaxBytes, packed or unpacked
	ErrNotData     = errors.New("the answer is not the data")        // a web page, an error text, another place, other years
	ErrNoData      = errors.New("the archive has no wind for this")  // every value missing, or no year there
	ErrNoStation   = errors.New("no station is near enough")         // within Options.MaxStationKM, in the years asked for
	ErrPlace       = errors.New("the place is not on the earth")     // latitude or longitude out of range or not a number
	ErrYears       = errors.New("the years cannot be had")           // before the archive begins, in the future, or upside down
	ErrSource      = errors.New("the source cannot be used so")      // an unknown archive, or no such way to name a station
	ErrNotCached   = errors.New("not in the cache")                  // from a Cache: there is no answer under the key
	ErrDamaged     = errors.New("the cached answer is damaged")      // from a Cache: the checksum does not fit; it is fetched anew
	errSlow        = errors.New("the answer takes too long")         // the whole time is used up
	errStalled     = errors.New("nothing comes any more")            // no byte for too long
	errRedirect    = errors.New("the redirect cannot be followed")   // too many, or out of https
	errEndless     = errors.New("more bytes than are taken came in") // becomes ErrTooLarge
)

// Error is any failure of this package but for those of Options and of the context.
type Error struct {
	Kind       error         // one of the sentinels above; errors.Is finds it
	Archive    Archive       // empty: not in the course of fetching from one
	Year       int           // 0: not about one year
	Host       string        // who was asked; empty: nobody
	Status     int           // HTTP status of ErrRefused, else 0
	RetryAfter time.Duration // what the service asked to wait; 0: nothing said
	Excerpt    string        // the beginning of what the service answered, made harmless; may be empty
	Reason     string        // what is wrong
	Remedy     string        // what to do about it
	Cause      error         // what lies beneath; may be nil
}

func (e *Error) Error() string {
	var b strings.Builder
	if e.Archive != "" {
		b.WriteString(string(e.Archive))
		if e.Year != 0 {
			fmt.Fprintf(&b, ", year %d", e.Year)
		}
		b.WriteString(": ")
	}
	b.WriteString(e.Reason)
	if e.Excerpt != "" {
		fmt.Fprintf(&b, " (it says: %q)", e.Excerpt)
	}
	if e.Remedy != "" {
		b.WriteString("; " + e.Remedy)
	}
	return b.String()
}

// Unwrap gives the kind and the cause to errors.Is and errors.As.
func (e *Error) Unwrap() []error {
	if e.Cause == nil {
		return []error{e.Kind}
	}
	return []error{e.Kind, e.Cause}
}

// again says whether the same request may well succeed a little later.
func (e *Error) again() bool {
	switch {
	case errors.Is(e.Kind, ErrUnreachable):
		return true
	case errors.Is(e.Kind, ErrRefused):
		return e.Status == 408 || e.Status == 425 || e.Status == 429 || e.Status == 500 || e.Status == 502 || e.Status == 503 || e.Status == 504
	}
	return false
}
