package api

import (
	"context"
	"errors"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

// Those who ask at once share the work; whoever began it may go away.
func TestSharedWorkOutlivesItsFirstAsker(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var shared together
		var begun atomic.Int32
		work := func(ctx context.Context) (int, error) {
			begun.Add(1)
			time.Sleep(time.Second)
			return 7, ctx.Err()
		}
		first, leave := context.WithCancel(t.Context())
		gone := make(chan error, 1)
		go func() {
			_, err := share(first, &shared, "key", nil, work)
			gone <- err
		}()
		synctest.Wait()
		leave()
		if err := <-gone; !errors.Is(err, context.Canceled) {
			t.Errorf("whoever went away: %v", err)
		}
		if got, err := share(t.Context(), &shared, "key", nil, work); got != 7 || err != nil {
			t.Errorf("whoever came later: %d, %v", got, err)
		}
		if n := begun.Load(); n != 1 {
			t.Errorf("begun %d times", n)
		}
	})
}

// Who will not wait is told so, and the work goes on.
func TestSharedWorkIsNotWaitedFor(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var shared together
		done := false
		late, stop := context.WithTimeout(t.Context(), time.Millisecond)
		defer stop()
		_, err := share(t.Context(), &shared, "key", late.Done(), func(context.Context) (bool, error) {
			time.Sleep(time.Second)
			done = true
			return done, nil
		})
		if !errors.Is(err, errLate) {
			t.Errorf("%v", err)
		}
		time.Sleep(2 * time.Second)
		synctest.Wait()
		if !done {
			t.Error("the work was given up")
		}
	})
}

// A panic reaches everybody as an error that names the place, and nobody else.
func TestSharedPanicIsAnError(t *testing.T) {
	var shared together
	_, err := share(t.Context(), &shared, "key", nil, func(context.Context) (int, error) { panic("on purpose") })
	if err == nil || !strings.Contains(err.Error(), "on purpose") || !strings.Contains(err.Error(), "together_test.go") {
		t.Errorf("%v", err)
	}
	if got, err := share(t.Context(), &shared, "key", nil, func(context.Context) (int, error) { return 1, nil }); got != 1 || err != nil {
		t.Errorf("afterwards: %d, %v", got, err)
	}
}
