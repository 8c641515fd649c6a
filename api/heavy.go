package api

import (
	"context"
	"time"
)

// begin waits for a turn at heavy work: an import, or an estimate over a record. The caller must call done. Who waits too
// long is refused, so that work does not pile up behind a service that cannot keep up.
func (s *service) begin(ctx context.Context) (done func(), err error) {
	done = func() { <-s.heavy }
	select {
	case s.heavy <- struct{}{}:
		return done, nil
	default:
	}
	t := time.NewTimer(s.HeavyWait)
	defer t.Stop()
	select {
	case s.heavy <- struct{}{}:
		return done, nil
	case <-t.C:
		return nil, &problem{kind: busy, detail: "imports and record estimates take all the room there is", retryAfter: 10}
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}
