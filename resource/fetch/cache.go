package fetch

import (
	"context"
	"time"
)

// Answer is what a service sent, unpacked.
type Answer struct {
	URL       string    // as asked
	Status    int       // HTTP status: 200, or 404 for what the archive does not have
	FetchedAt time.Time // when it came
	Body      []byte    // never changed
}

// Cache keeps answers by key. Keys are made of the request, any text up to a few hundred bytes. It is used by several
// goroutines at once.
type Cache interface {
	// Lookup gives the answer under a key; ErrNotCached when there is none, ErrDamaged when it cannot be trusted.
	Lookup(ctx context.Context, key string) (Answer, error)
	// Keep stores an answer under a key, all of it or nothing, in place of any other.
	Keep(ctx context.Context, key string, a Answer) error
}

// noCache is the cache of those who have none.
type noCache struct{}

func (noCache) Lookup(context.Context, string) (Answer, error) { return Answer{}, ErrNotCached }
func (noCache) Keep(context.Context, string, Answer) error     { return nil }

// settledAfter is how long after a year's end its data are taken for final. Reanalyses and station archives replace
// preliminary data within a few weeks or months (common practice).
const settledAfter = 90 * 24 * time.Hour

// goodFor is how long an answer that may still change is used without asking again.
const goodFor = 24 * time.Hour

// listGoodFor is the same for the list of stations.
const listGoodFor = 30 * 24 * time.Hour

// fresh says whether a cached answer needs no asking again. Year 0 is what is not about one year.
func fresh(a *Answer, year int, now time.Time) bool {
	age := now.Sub(a.FetchedAt)
	if age < 0 { // a clock was set back: nobody knows how old it is
		return false
	}
	if year == 0 {
		return age < listGoodFor
	}
	return age < goodFor || a.FetchedAt.After(newYear(year+1).Add(settledAfter))
}
