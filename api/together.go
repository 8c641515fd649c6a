package api

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"

	"golang.org/x/sync/singleflight"
)

// together is work that those who ask for the same at once share: it is done once, and goes on when whoever began it goes away,
// so that nobody takes the others down. Its work must bound itself in time. A panic in it is an error to all who wait, since it
// runs beside the requests, where nothing else would catch it.
type together struct {
	group singleflight.Group
}

// share waits for the work of that key, beginning it unless it is under way. It gives up with ctx, and with errLate once late
// tells; the work goes on all the same. A nil late never tells.
func share[T any](ctx context.Context, t *together, key string, late <-chan struct{}, work func(ctx context.Context) (T, error)) (T, error) {
	lasting := context.WithoutCancel(ctx)
	var none T
	select {
	case got := <-t.group.DoChan(key, func() (any, error) { return caught(func() (T, error) { return work(lasting) }) }):
		if got.Err != nil {
			return none, got.Err
		}
		return got.Val.(T), nil
	case <-late:
		return none, errLate
	case <-ctx.Done():
		return none, ctx.Err()
	}
}

// errLate says that shared work was not waited for to its end.
var errLate = errors.New("the work goes on")

// caught runs work and makes an error of its panic.
func caught[T any](work func() (T, error)) (out T, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	return work()
}
