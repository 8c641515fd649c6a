package fetch

import (
	"context"
	"math"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"
)

// pacer gives each host's requests their times, a fixed while apart.
type pacer struct {
	mu   sync.Mutex
	next map[string]time.Time
}

// reserve takes the host's next turn and says how long to wait for it.
func (p *pacer) reserve(host string, now time.Time, apart time.Duration) time.Duration {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.next == nil {
		p.next = map[string]time.Time{}
	}
	turn := p.next[host]
	if turn.Before(now) {
		turn = now
	}
	p.next[host] = turn.Add(apart)
	return turn.Sub(now)
}

// turns lets one at a time work on a key, so that two who want the same year ask for it once.
type turns struct {
	mu   sync.Mutex
	busy map[string]chan struct{}
}

// take waits for the key; free must be called once.
func (t *turns) take(ctx context.Context, key string) (free func(), err error) {
	for {
		t.mu.Lock()
		if t.busy == nil {
			t.busy = map[string]chan struct{}{}
		}
		other, taken := t.busy[key]
		if !taken {
			mine := make(chan struct{})
			t.busy[key] = mine
			t.mu.Unlock()
			return func() {
				t.mu.Lock()
				delete(t.busy, key)
				t.mu.Unlock()
				close(mine)
			}, nil
		}
		t.mu.Unlock()
		select {
		case <-other:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

// firstWait is the wait before the second attempt, half of it jitter; it doubles from one to the next.
const firstWait = 2 * time.Second

// backoff is the wait after a failed attempt, counted from 0: between half and all of firstWait·2^attempt, at most most.
func backoff(attempt int, jitter float64, most time.Duration) time.Duration {
	full := math.Min(float64(firstWait)*math.Pow(2, float64(attempt)), float64(most))
	return time.Duration(full * (0.5 + 0.5*jitter))
}

// jitter is a number in [0, 1) from a seeded sequence (SplitMix64; Steele, Lea and Flood 2014).
type jitter struct {
	mu    sync.Mutex
	state uint64
}

func (j *jitter) next() float64 {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.state += 0x9e3779b97f4a7c15
	z := j.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	return float64(z>>11) / (1 << 53)
}

// retryAfter reads the header of that name: seconds, or a date (RFC 9110, 10.2.3). 0: none, or one that makes no sense.
func retryAfter(h http.Header, now time.Time) time.Duration {
	s := strings.TrimSpace(h.Get("Retry-After"))
	const most = 365 * 24 * 3600
	if n, err := strconv.ParseInt(s, 10, 64); err == nil {
		return time.Duration(min(max(n, 0), most)) * time.Second
	}
	if t, err := http.ParseTime(s); err == nil {
		return max(t.Sub(now), 0)
	}
	return 0
}
