package fetch

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"time"
)

// Client fetches. It is made by New and may be used by several goroutines at once.
type Client struct {
	o      Options
	http   *http.Client
	cache  Cache
	pace   pacer
	turns  turns
	jitter jitter
	roster roster
}

// New makes a client, or says which options cannot be.
func New(o Options) (*Client, error) {
	if err := o.settle(); err != nil {
		return nil, fmt.Errorf("fetching: %w", err)
	}
	c := &Client{o: o, http: newHTTP(&o), cache: o.Cache, jitter: jitter{state: o.Seed}}
	if c.cache == nil {
		c.cache = noCache{}
	}
	return c, nil
}

// query is one request, and what a good answer to it looks like.
type query struct {
	archive Archive
	name    string // of what is asked for, for the beginning of a sentence; empty: the year
	year    int    // 0: not about one year, as the list of stations
	once    bool   // it is not worth waiting for
	url     string // what is asked
	key     string // under which the answer is kept
	looks   func(head []byte) bool
	use     func(a *Answer) error                   // reads it; what cannot be read is not kept
	tell    func(wait time.Duration, reason string) // told before another attempt; may be nil
}

// found is an answer with the way it came.
type found struct {
	Answer
	fromCache bool
	notes     []note // of trouble with the cache, and of old answers used for want of new ones
}

// answer gives what the cache has if that is good enough, else asks the service and keeps what comes. Either way it has
// been read by q.use without fault.
func (c *Client) answer(ctx context.Context, q *query) (found, error) {
	free, err := c.turns.take(ctx, q.key)
	if err != nil {
		return found{}, err
	}
	defer free()
	f := found{fromCache: true}
	cached, err := c.cache.Lookup(ctx, q.key)
	have := err == nil
	if have && (c.o.Offline || fresh(&cached, q.year, c.o.Now())) {
		if err = q.use(&cached); err == nil {
			f.Answer = cached
			return f, nil
		}
		have = false
	}
	if ctx.Err() != nil {
		return found{}, ctx.Err()
	}
	if c.o.Offline {
		return f, offlineError(q, err)
	}
	if err != nil && !errors.Is(err, ErrNotCached) {
		f.note("cache_unreadable", "A cached answer could not be used (%v), so it is fetched anew.", err)
	}
	anew, err := c.get(ctx, q)
	if err == nil {
		err = q.use(&anew)
	}
	switch {
	case err == nil:
	case have && ctx.Err() == nil && q.use(&cached) == nil:
		f.Answer = cached
		f.note("fetched_stale", "%s is as it was on %s, from the cache: the service could not give it anew (%v).", what(q),
			cached.FetchedAt.UTC().Format(time.DateOnly), err)
		return f, nil
	default:
		return f, err
	}
	f.Answer, f.fromCache = anew, false
	if err := c.cache.Keep(ctx, q.key, anew); err != nil {
		f.note("cache_unwritable", "An answer could not be kept in the cache and will have to be fetched again: %v.", err)
	}
	return f, nil
}

// offlineError says why the cache alone will not do.
func offlineError(q *query, err error) error {
	e := &Error{Kind: ErrOffline, Archive: q.archive, Year: q.year, Reason: "the answer is not in the cache, and offline no service is asked",
		Remedy: "fetch it once while online"}
	if !errors.Is(err, ErrNotCached) {
		e.Cause, e.Reason = err, fmt.Sprintf("what the cache has cannot be used (%v), and offline no service is asked", err)
	}
	return e
}

// what names what is asked for, for the beginning of a sentence.
func what(q *query) string {
	if q.name != "" {
		return q.name
	}
	return fmt.Sprintf("The year %d", q.year)
}

// get asks until it has an answer or no more attempts.
func (c *Client) get(ctx context.Context, q *query) (Answer, error) {
	u, err := url.Parse(q.url)
	if err != nil {
		return Answer{}, fmt.Errorf("the address of %s: %w", q.archive, err)
	}
	apart := time.Duration(float64(time.Second) / c.o.RatePerHost)
	for attempt := 0; ; attempt++ {
		if wait := c.pace.reserve(u.Host, c.o.Now(), apart); wait > 0 {
			if err := c.o.Sleep(ctx, wait); err != nil {
				return Answer{}, err
			}
		}
		a, err := c.once(ctx, q)
		if err == nil {
			return a, nil
		}
		if ctx.Err() != nil {
			return Answer{}, ctx.Err()
		}
		var e *Error
		if !errors.As(err, &e) {
			return Answer{}, err
		}
		e.Archive, e.Year, e.Host = q.archive, q.year, u.Hostname()
		if !e.again() || q.once || attempt >= c.o.Retries || e.RetryAfter > c.o.MaxWait {
			return Answer{}, c.final(e, attempt+1)
		}
		wait := max(backoff(attempt, c.jitter.next(), c.o.MaxWait), e.RetryAfter)
		if q.tell != nil {
			q.tell(wait, e.Reason)
		}
		if err := c.o.Sleep(ctx, wait); err != nil {
			return Answer{}, err
		}
	}
}

// final adds how often it was tried and how long to leave the service alone.
func (c *Client) final(e *Error, attempts int) *Error {
	if attempts > 1 {
		e.Reason += fmt.Sprintf(", %d times", attempts)
	}
	if e.RetryAfter > 0 {
		e.Remedy = fmt.Sprintf("ask again in %s, as it says", e.RetryAfter.Round(time.Second))
	}
	if _, nowhere := c.cache.(noCache); !nowhere && e.again() && e.Year != 0 {
		e.Remedy += "; what came before is in the cache"
	}
	return e
}

// once asks once.
func (c *Client) once(ctx context.Context, q *query) (Answer, error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	whole := time.AfterFunc(c.o.Timeouts.Whole, func() { cancel(errSlow) })
	defer whole.Stop()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, q.url, http.NoBody)
	if err != nil {
		return Answer{}, fmt.Errorf("the address of %s: %w", q.archive, err)
	}
	req.Header.Set("User-Agent", c.o.UserAgent)
	req.Header.Set("Accept-Encoding", "gzip")
	req.Header.Set("Accept", "text/csv, application/json, text/plain, application/gzip, */*;q=0.5")
	res, err := c.http.Do(req)
	if err != nil {
		return Answer{}, broken(ctx, err)
	}
	defer res.Body.Close()
	if res.ContentLength > c.o.MaxBytes {
		return Answer{}, c.tooLarge(fmt.Sprintf("%d bytes are announced", res.ContentLength))
	}
	most := c.o.MaxBytes
	if res.StatusCode != http.StatusOK {
		most = min(most, 1<<20) // of an error, the beginning will do
	}
	idle := time.AfterFunc(c.o.Timeouts.Idle, func() { cancel(errStalled) })
	defer idle.Stop()
	body, err := readAll(&watched{r: res.Body, idle: idle, patience: c.o.Timeouts.Idle}, most)
	if res.StatusCode != http.StatusOK {
		return c.refused(q, res, body)
	}
	if errors.Is(err, errEndless) {
		return Answer{}, c.tooLarge("more than that came")
	}
	if err != nil {
		return Answer{}, broken(ctx, err)
	}
	if !q.looks(body[:min(len(body), 64<<10)]) {
		return Answer{}, notData(res.Header.Get("Content-Type"), body)
	}
	return Answer{URL: q.url, Status: res.StatusCode, FetchedAt: c.o.Now(), Body: body}, nil
}

// refused turns a status into an error; 404 is an answer where a file for each year may be absent.
func (c *Client) refused(q *query, res *http.Response, body []byte) (Answer, error) {
	if res.StatusCode == http.StatusNotFound && q.year != 0 && q.archive.stations() {
		return Answer{URL: q.url, Status: res.StatusCode, FetchedAt: c.o.Now()}, nil
	}
	e := &Error{Kind: ErrRefused, Status: res.StatusCode, Excerpt: excerpt(body),
		Reason: fmt.Sprintf("the service answers with status %d %s", res.StatusCode, http.StatusText(res.StatusCode)),
		Remedy: "ask again later"}
	switch {
	case res.StatusCode == http.StatusTooManyRequests || res.StatusCode == http.StatusServiceUnavailable:
		e.RetryAfter = retryAfter(res.Header, c.o.Now())
		if res.StatusCode == http.StatusTooManyRequests {
			e.Remedy = "it has been asked too often: ask again later"
		}
	case res.StatusCode >= 400 && res.StatusCode < 500:
		e.Remedy = "the same request will not do better later: check the years, the place and the address of the service in the settings"
	case res.StatusCode < 400:
		e.Remedy = "check the address of the service in the settings"
	}
	return Answer{}, e
}

func (c *Client) tooLarge(how string) error {
	return &Error{Kind: ErrTooLarge, Reason: fmt.Sprintf("the answer is larger than %d bytes, the most that is taken: %s", c.o.MaxBytes, how),
		Remedy: "raise the limit if the service is to be trusted"}
}

// broken says why no whole answer came. The text of net/http's error is left out, for it repeats the address.
func broken(ctx context.Context, err error) error {
	e := &Error{Kind: ErrUnreachable, Cause: err, Remedy: "check the network, or ask again later"}
	var outer *url.Error
	inner := err
	if errors.As(err, &outer) {
		inner = outer.Err
	}
	cause := context.Cause(ctx)
	switch {
	case errors.Is(err, ErrPrivate):
		return &Error{Kind: ErrPrivate, Cause: err, Reason: "the service's address leads to a private network, which is not asked",
			Remedy: "check the address of the service in the settings"}
	case errors.Is(err, errRedirect):
		e.Kind, e.Reason, e.Remedy = ErrRefused, inner.Error(), "check the address of the service in the settings"
	case errors.Is(cause, errSlow), errors.Is(cause, errStalled):
		e.Reason = cause.Error()
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		e.Reason = "the connection ends in the middle of the answer"
	default:
		e.Reason = "no answer comes: " + inner.Error()
	}
	return e
}

// notData is for an answer that is something else.
func notData(contentType string, body []byte) error {
	e := &Error{Kind: ErrNotData, Excerpt: excerpt(body), Reason: "the answer is not the data asked for",
		Remedy: "check the address of the service in the settings, or ask again later"}
	if len(body) == 0 {
		e.Reason = "the answer is empty"
	} else if contentType != "" {
		e.Reason += fmt.Sprintf(" but %.60q", contentType)
	}
	return e
}

// watched puts the alarm off with each byte that comes.
type watched struct {
	r        io.Reader
	idle     *time.Timer
	patience time.Duration
}

func (w *watched) Read(p []byte) (int, error) {
	n, err := w.r.Read(p)
	if n > 0 {
		w.idle.Reset(w.patience)
	}
	return n, err
}
