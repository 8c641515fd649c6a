package api

import (
	"context"
	"errors"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"mastworth/storage"
)

// A question answers with what is true while it is on its way: here a count that rises all the time. Whoever asks must see no less
// than what it was when he came.
func TestStampsAreNeverStale(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var state, questions atomic.Int64
		s := stamps{ask: func(_ context.Context, ids []string) (map[string]string, error) {
			questions.Add(1)
			now := state.Load()
			runtime.Gosched()
			out := map[string]string{}
			for _, id := range ids {
				out[id] = strconv.FormatInt(now, 10)
			}
			return out, nil
		}}
		for c := range 32 {
			go func() {
				for range 500 {
					came := state.Add(1)
					got, err := s.of(t.Context(), "site-"+strconv.Itoa(c%5))
					if seen, _ := strconv.ParseInt(got, 10, 64); err != nil || seen < came {
						t.Errorf("who came at %d is told of %d, %v", came, seen, err)
					}
				}
			}()
		}
		synctest.Wait() // for the clients, and for the questions, which end after those who asked them
		t.Logf("16000 clients' questions went as %d", questions.Load())
		if s.away != 0 || s.next != nil {
			t.Errorf("%d questions are still away, and %v waits", s.away, s.next)
		}
	})
}

// Those who come while all questions are away go together, each gets its own answer, and nobody takes the others down.
func TestStampsGoTogether(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		hold := make(chan struct{})
		var asked [][]string
		var mu sync.Mutex
		s := stamps{ask: func(_ context.Context, ids []string) (map[string]string, error) {
			mu.Lock()
			asked = append(asked, ids)
			mu.Unlock()
			<-hold
			if strings.Join(ids, "") == "broken" {
				panic("broken")
			}
			return map[string]string{"a": "1", "b": "2"}, nil
		}}
		var all sync.WaitGroup
		expect := func(ctx context.Context, id, want string, wanted error) {
			all.Go(func() {
				if got, err := s.of(ctx, id); got != want || !errors.Is(err, wanted) {
					t.Errorf("%s: %q, %v instead of %q, %v", id, got, err, want, wanted)
				}
			})
			synctest.Wait()
		}
		impatient, leave := context.WithCancel(t.Context())
		for i := range runtime.GOMAXPROCS(0) {
			if i > 0 {
				expect(t.Context(), "a", "1", nil)
				continue
			}
			all.Go(func() {
				if _, err := s.of(t.Context(), "broken"); err == nil || !strings.Contains(err.Error(), "panic") {
					t.Errorf("a panic ends as %v", err)
				}
			})
			synctest.Wait()
		}
		expect(t.Context(), "b", "2", nil)
		expect(impatient, "a", "", context.Canceled)
		expect(t.Context(), "unknown", "", storage.ErrNotFound)
		leave()
		synctest.Wait()
		close(hold)
		all.Wait()
		synctest.Wait()
		if most := runtime.GOMAXPROCS(0) + 1; len(asked) != most || strings.Join(asked[most-1], " ") != "b a unknown" {
			t.Errorf("the questions were %q", asked)
		}
	})
}
