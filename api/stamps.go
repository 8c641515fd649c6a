package api

import (
	"context"
	"runtime"
	"sync"
	"time"

	"mastworth/storage"
)

// stamps asks the store for the stamps of sites' estimates, many at once: those who come while as many questions are on their way as
// there are processors go together in the next one. Nobody gets an answer to a question that was asked before he came, so that none
// is stale. Under load this spares the database most of the work; without, nobody waits.
type stamps struct {
	ask func(ctx context.Context, siteIDs []string) (map[string]string, error)

	mu   sync.Mutex
	away int         // questions on their way
	next *stampRound // those who wait to go; nil: nobody
}

// stampRound are those who go together.
type stampRound struct {
	ids  []string
	back chan struct{} // closed when what follows is there
	have map[string]string
	err  error
}

// longestRound is how long a question may take: others may be waiting for it to come back.
const longestRound = 10 * time.Second

// of is the stamp of a site, or storage.ErrNotFound.
func (s *stamps) of(ctx context.Context, id string) (string, error) {
	s.mu.Lock()
	if s.next == nil {
		s.next = &stampRound{back: make(chan struct{})}
	}
	round := s.next
	round.ids = append(round.ids, id)
	goes := s.away < runtime.GOMAXPROCS(0)
	if goes {
		s.away++
		s.next = nil
	}
	s.mu.Unlock()
	if goes {
		s.run(ctx, round)
		s.leave(ctx)
	}
	select {
	case <-round.back:
	case <-ctx.Done():
		return "", ctx.Err()
	}
	if round.err != nil {
		return "", round.err
	}
	stamp, known := round.have[id]
	if !known {
		return "", storage.ErrNotFound
	}
	return stamp, nil
}

// run asks for a round. It goes on when whoever leads it goes away, and a panic is an error to all of them.
func (s *stamps) run(ctx context.Context, round *stampRound) {
	ctx, stop := context.WithTimeout(context.WithoutCancel(ctx), longestRound)
	defer stop()
	round.have, round.err = caught(func() (map[string]string, error) { return s.ask(ctx, round.ids) })
	close(round.back)
}

// leave sends those off who came meanwhile.
func (s *stamps) leave(ctx context.Context) {
	s.mu.Lock()
	defer s.mu.Unlock()
	round := s.next
	if s.next = nil; round == nil {
		s.away--
		return
	}
	go func() {
		s.run(ctx, round)
		s.leave(ctx)
	}()
}
