package api

import (
	"context"
	"errors"
	"net/http"

	"mastworth/openapi"
	"mastworth/storage"
)

func (a answer) VisitListRecordsResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}
func (a answer) VisitReadRecordResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }

func (n notModified) VisitReadRecordResponse(w http.ResponseWriter) error { return n.send(w) }

// ListRecords lists records, newest first.
func (s *service) ListRecords(ctx context.Context, r openapi.ListRecordsRequestObject) (openapi.ListRecordsResponseObject, error) {
	ctx = requestContext(ctx)
	page := newListPage(r.Params.Limit, r.Params.After)
	all, err := s.Store.Records(ctx, page.wanted())
	if err != nil {
		return nil, stored(err)
	}
	out := openapi.RecordList{Records: make([]openapi.RecordSummary, 0, len(all))}
	for i := range all {
		if i == page.limit {
			out.Next = &out.Records[i-1].ID
			break
		}
		one, err := wireRecordSummary(&all[i])
		if err != nil {
			return nil, err
		}
		out.Records = append(out.Records, one)
	}
	return answer{body: out}, nil
}

// ReadRecord answers what is known of a record, but for its samples.
func (s *service) ReadRecord(ctx context.Context, r openapi.ReadRecordRequestObject) (openapi.ReadRecordResponseObject, error) {
	ctx = requestContext(ctx)
	rec, err := s.record(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	etag := hashTag("record", s.Version, rec.ID, rec.ContentHash, string(rec.Report), string(rec.Statistics))
	if matches(r.Params.IfNoneMatch, etag) {
		return notModified{etag}, nil
	}
	out, err := wireRecord(&rec)
	return answer{body: out, etag: etag}, err
}

func (s *service) record(ctx context.Context, id string) (storage.Record, error) {
	rec, err := s.Store.Record(ctx, id)
	if errors.Is(err, storage.ErrNotFound) {
		return rec, notFound("there is no record %q", id)
	}
	return rec, stored(err)
}

// DeleteRecord deletes a record that no site uses.
func (s *service) DeleteRecord(ctx context.Context, r openapi.DeleteRecordRequestObject) (openapi.DeleteRecordResponseObject, error) {
	ctx = requestContext(ctx)
	err := s.Store.DeleteRecord(ctx, r.ID)
	if errors.Is(err, storage.ErrNotFound) {
		return nil, notFound("there is no record %q", r.ID)
	}
	if errors.Is(err, storage.ErrInUse) {
		return nil, s.recordUsed(ctx, r.ID)
	}
	if err != nil {
		return nil, stored(err)
	}
	s.records.drop(r.ID)
	return openapi.DeleteRecord204Response{}, nil
}
