package api

import (
	"context"
	"time"

	"mastworth/resource"
)

// mostWaiting is how many may wait for their turn at heavy work. Each holds a connection and its document meanwhile.
const mostWaiting = 200

// begin waits for a turn at heavy work: an import, or an estimate over a record. The caller must call done. Who waits too
// long is refused, and who finds too many waiting at once, so that work does not pile up behind a service that cannot keep up.
func (s *service) begin(ctx context.Context) (done func(), err error) {
	done = func() { <-s.heavy }
	select {
	case s.heavy <- struct{}{}:
		return done, nil
	default:
	}
	full := &problem{kind: busy, detail: "imports and heavy estimates take all the room there is", retryAfter: 10}
	defer s.waiting.Add(-1)
	if s.waiting.Add(1) > mostWaiting {
		return nil, full
	}
	t := time.NewTimer(s.HeavyWait)
	defer t.Stop()
	select {
	case s.heavy <- struct{}{}:
		return done, nil
	case <-t.C:
		return nil, full
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// heavySeries is a record's screened series, and a turn at heavy work upon it. The caller must call done.
func (s *service) heavySeries(ctx context.Context, id string) (series *resource.Series, done func(), err error) {
	if done, err = s.begin(ctx); err != nil {
		return nil, nil, err
	}
	if series, err = s.series(ctx, id); err != nil {
		done()
		return nil, nil, stored(err)
	}
	return series, done, nil
}
