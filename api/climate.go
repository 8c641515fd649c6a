package api

import (
	"context"
	"net/http"
	"strconv"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
)

func (a answer) VisitReadClimateResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}

func (n notModified) VisitReadClimateResponse(w http.ResponseWriter) error { return n.send(w) }

// ReadClimate describes the wind at one height of a record.
func (s *service) ReadClimate(ctx context.Context, r openapi.ReadClimateRequestObject) (openapi.ReadClimateResponseObject, error) {
	sectors := resource.SectorCount
	if n := r.Params.Sectors; n != nil {
		sectors = int(*n)
	}
	ctx = requestContext(ctx)
	rec, err := s.record(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	name := ""
	if r.Params.Channel != nil {
		name = *r.Params.Channel
	}
	etag := hashTag("climate", document.Methods, rec.ContentHash, name, strconv.Itoa(sectors))
	if matches(r.Params.IfNoneMatch, etag) {
		return notModified{etag}, nil
	}
	series, done, err := s.heavySeries(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	defer done()
	channel := speedChannel(series, name)
	if channel < 0 {
		return nil, newProblem(invalidParameters, "the record has no such speed channel").
			at("query.channel", "must be one of %s", document.SpeedChannelWords(series))
	}
	out, err := document.ClimateOf(series, channel, sectors)
	if err != nil {
		return nil, newProblem(invalidRequest, "this record gives no climate").at("path.id", "%s", err)
	}
	return answer{body: out, etag: etag}, nil
}

// speedChannel is the speed channel of a name, or the highest one where the name is empty; −1 where there is none.
func speedChannel(s *resource.Series, name string) int {
	found := -1
	for _, i := range s.SpeedChannels() {
		if c := &s.Channels[i]; name == "" && (found < 0 || c.HeightM == c.HeightM) || c.Name == name && name != "" {
			found = i
		}
	}
	return found
}
