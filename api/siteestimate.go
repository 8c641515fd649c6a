package api

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"sync/atomic"
	"time"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/storage"
	"mastworth/yield/assess"
)

// keptEstimate is an estimate as the store has it.
type keptEstimate struct {
	body []byte
	etag string
}

func (k keptEstimate) VisitReadSiteEstimateResponse(w http.ResponseWriter) error {
	return sendJSON(w, http.StatusOK, k.body, k.etag)
}

func (n notModified) VisitReadSiteEstimateResponse(w http.ResponseWriter) error { return n.send(w) }

// keptAnswer is an answer at hand, and the state of its site in the store that it belongs to: records and kept curves never change, so
// that a site and the key of its kept estimate tell everything. Whoever changes either, here or in another instance, changes the stamp.
type keptAnswer struct {
	keptEstimate
	stamp string
	asked atomic.Int64 // when the store was last asked about it, since the process began
}

// stands reports whether what the store said last may still be repeated.
func (a *keptAnswer) stands(now time.Duration) bool {
	return a != nil && now-time.Duration(a.asked.Load()) < standing
}

var begun = time.Now() // its reading of the monotonic clock is what counts

// answerCacheBytes is how much memory answers at hand may take.
const answerCacheBytes = 16 << 20

func (a *keptAnswer) bytes() int64 { return int64(len(a.body) + len(a.stamp) + len(a.etag) + 256) }

// ReadSiteEstimate answers a saved site's estimate. Its ETag names everything the estimate is made of, so a client that has
// it is told so without any work; and the store keeps the answer under the same key. The store is asked whether the answer at hand is
// still the one, unless what it said stands.
func (s *service) ReadSiteEstimate(ctx context.Context, r openapi.ReadSiteEstimateRequestObject) (openapi.ReadSiteEstimateResponseObject, error) {
	ctx = requestContext(ctx)
	came := time.Since(begun)
	kept := s.answers.get(r.ID)
	if !kept.stands(came) {
		stamp, err := s.stamps.of(ctx, r.ID)
		if err != nil {
			return nil, siteMissing(r.ID, err)
		}
		if kept != nil && kept.stamp == stamp {
			kept.asked.Store(int64(came))
		} else {
			kept = nil
		}
	}
	if kept != nil {
		if matches(r.Params.IfNoneMatch, kept.etag) {
			return notModified{kept.etag}, nil
		}
		return kept.keptEstimate, nil
	}
	site, err := s.site(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	key, err := s.estimateKey(ctx, &site)
	if err != nil {
		return nil, err
	}
	if matches(r.Params.IfNoneMatch, key) {
		return notModified{key}, nil
	}
	body, err := s.keptOrNew(ctx, &site, key)
	if err != nil {
		return nil, err
	}
	a := &keptAnswer{keptEstimate: keptEstimate{body: body, etag: key}, stamp: storage.EstimateStamp(&site, key)}
	a.asked.Store(int64(came))
	s.answers.put(r.ID, a)
	return a.keptEstimate, nil
}

// keptOrNew is a site's estimate document by its key: the kept one, or one that is worked out now and kept from then on. Those who
// ask for a new one at once share the work.
func (s *service) keptOrNew(ctx context.Context, site *storage.Site, key string) ([]byte, error) {
	kept, err := s.Store.Estimate(ctx, site.ID)
	have := err == nil && kept.Key == key
	switch {
	case have && kept.Board != nil:
		return kept.Body, nil
	case err != nil && !errors.Is(err, storage.ErrNotFound):
		return nil, stored(err)
	}
	return share(ctx, &s.shared, "estimate "+site.ID+key, nil, func(ctx context.Context) ([]byte, error) {
		body := kept.Body
		if !have { // a kept one without a board is of before there were boards
			var err error
			if body, err = s.estimateSite(ctx, site); err != nil {
				if _, gone := s.site(ctx, site.ID); isMissing(gone) {
					return nil, gone // and then perhaps its record, which is what err tells
				}
				return nil, err
			}
		}
		return body, s.keepEstimate(ctx, site, key, body)
	})
}

// keepEstimate lays an estimate and its line of the board into the store. Whether they can be kept is no concern of who asked: the
// answer is right either way.
func (s *service) keepEstimate(ctx context.Context, site *storage.Site, key string, body []byte) error {
	board, err := s.boardOf(body)
	if err != nil {
		return err
	}
	if err := s.Store.SaveEstimate(ctx, storage.SavedEstimate{SiteID: site.ID, Key: key, Body: body, Board: board, ComputedAt: s.now(),
		Of: site.UpdatedAt}); err != nil && !errors.Is(err, storage.ErrNotFound) {
		s.Logger.WarnContext(ctx, "an estimate could not be kept", "site", site.ID, "error", err)
	}
	return nil
}

// estimateKey names a site's estimate by the request, the content of its record, and the methods and program that make it.
func (s *service) estimateKey(ctx context.Context, site *storage.Site) (string, error) {
	var content [4]string
	for i, id := range []string{site.RecordID, site.ReferenceID, site.LogID} {
		if id == "" {
			continue
		}
		rec, err := s.Store.Record(ctx, id)
		if err != nil {
			return "", stored(err)
		}
		content[i] = rec.ContentHash
	}
	if site.CurveID != "" {
		c, err := s.Store.Curve(ctx, site.CurveID)
		if err != nil {
			return "", stored(err)
		}
		content[3] = c.ContentHash
	}
	return hashTag(append([]string{"estimate", document.Methods, s.Version, string(site.Request)}, content[:]...)...), nil
}

// siteQuestion is a site's request ready to be answered, but for its records.
func (s *service) siteQuestion(ctx context.Context, site *storage.Site) (assess.Request, document.Refs, error) {
	in, err := siteRequest(site)
	if err != nil {
		return assess.Request{}, document.Refs{}, err
	}
	in, kept, err := s.withCurve(ctx, in)
	if err != nil {
		return assess.Request{}, document.Refs{}, &located{root: "request", err: err}
	}
	domain, refs := document.ToRequest(in)
	domain.Turbine.Kept = kept
	return domain, refs, nil
}

// estimateSite computes a saved request.
func (s *service) estimateSite(ctx context.Context, site *storage.Site) ([]byte, error) {
	domain, refs, err := s.siteQuestion(ctx, site)
	if err != nil {
		return nil, err
	}
	buf, err := s.estimate(ctx, &domain, refs)
	if err != nil {
		return nil, &located{root: "request", err: err}
	}
	defer freeBuffer(buf)
	return bytes.Clone(buf.Bytes()), nil
}
