package postgres

import (
	"context"
	"errors"
	"time"
)

// How long the database is waited for. A server that is there answers in thousandths of a second; one that is gone without a word, as
// behind a cut line, would be waited for as long as TCP likes.
const (
	connectPatience = 5 * time.Second  // for a new connection
	pingPatience    = 2 * time.Second  // for one that lay idle to show that it still stands
	patience        = 10 * time.Second // for a connection and the answer of a statement or transaction
	importPatience  = time.Minute      // for each step of storing a record, whose last is to bring all of it to the disk
)

// errSlow is why the context of a patient ends.
var errSlow = errors.New("it has not answered for long")

// patient is a context that ends when the database is waited for too long. Time that the caller takes between rests does not count.
type patient struct {
	context.Context
	most   time.Duration
	timer  *time.Timer
	cancel context.CancelCauseFunc
}

func patiently(ctx context.Context, most time.Duration) *patient {
	ctx, cancel := context.WithCancelCause(ctx)
	return &patient{ctx, most, time.AfterFunc(most, func() { cancel(errSlow) }), cancel}
}

// rest and wait say that it is the caller's turn, and that it is the database's again.
func (p *patient) rest() { p.timer.Stop() }
func (p *patient) wait() { p.timer.Reset(p.most) }

func (p *patient) end() {
	p.timer.Stop()
	p.cancel(nil)
}
