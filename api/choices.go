package api

import (
	"context"

	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/storage"
)

// choicesListed is how many records and curves a page offers to choose from, the newest first.
const choicesListed = 200

// recordChoices are the records that fit, and whether there are older ones that are not looked at.
func (s *service) recordChoices(ctx context.Context, fits func(*openapi.RecordSummary) bool) (choices []page.Choice, older bool, err error) {
	records, err := s.Store.Records(ctx, storage.Page{Limit: choicesListed + 1})
	if err != nil {
		return nil, false, stored(err)
	}
	records, older = newest(records)
	for i := range records {
		r, err := wireRecordSummary(&records[i])
		if err != nil {
			return nil, false, err
		}
		if fits(&r) {
			choices = append(choices, page.Choice{Value: r.ID, Words: page.RecordTitle(&r)})
		}
	}
	return choices, older, nil
}

// curveChoices are the kept curves, and whether there are older ones.
func (s *service) curveChoices(ctx context.Context) (choices []page.Choice, older bool, err error) {
	curves, err := s.Store.Curves(ctx, storage.Page{Limit: choicesListed + 1})
	if err != nil {
		return nil, false, stored(err)
	}
	curves, older = newest(curves)
	for i := range curves {
		choices = append(choices, page.Choice{Value: curves[i].ID, Words: page.CurveTitle(curves[i].Name)})
	}
	return choices, older, nil
}

// newest are as many as are listed, and whether there are more.
func newest[T any](all []T) ([]T, bool) {
	if len(all) > choicesListed {
		return all[:choicesListed], true
	}
	return all, false
}
