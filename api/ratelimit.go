package api

import (
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// mostCallers bounds how many callers are remembered at once.
const mostCallers = 20_000

// limits are the callers' rates.
type limits struct {
	perSecond float64

	mu      sync.Mutex
	callers map[string]*callerRate
}

type callerRate struct {
	*rate.Limiter
	last time.Time
}

func newLimits(perSecond float64) *limits {
	return &limits{perSecond: perSecond, callers: map[string]*callerRate{}}
}

// any reports whether there are limits.
func (l *limits) any() bool { return l.perSecond != 0 }

// allow reports whether a caller may make a request now, and counts it.
func (l *limits) allow(caller string, now time.Time) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	c, known := l.callers[caller]
	// A clock that was set back would keep a caller out until it has caught up. (That of the system is not, for measuring time.)
	if known && c.last.Sub(now) > time.Second {
		known = false
	}
	if !known {
		if len(l.callers) >= mostCallers {
			l.forget(now)
		}
		c = &callerRate{Limiter: rate.NewLimiter(rate.Limit(l.perSecond), max(1, int(2*l.perSecond)))}
		l.callers[caller] = c
	}
	c.last = now
	return c.AllowN(now, 1)
}

// forget drops the callers that have been quiet long enough to have their full rate again, or all of them where there are none.
func (l *limits) forget(now time.Time) {
	for name, c := range l.callers {
		if now.Sub(c.last) > 10*time.Second {
			delete(l.callers, name)
		}
	}
	if len(l.callers) >= mostCallers {
		clear(l.callers)
	}
}
