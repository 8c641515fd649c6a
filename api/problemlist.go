package api

import (
	"context"
	"net/http"

	"mastworth/openapi"
)

func (a answer) VisitListProblemKindsResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}

// ListProblemKinds tells every kind of problem there is.
func (s *service) ListProblemKinds(context.Context, openapi.ListProblemKindsRequestObject) (openapi.ListProblemKindsResponseObject, error) {
	out := openapi.ProblemKindList{Problems: make([]openapi.ProblemKind, len(kinds))}
	for i, k := range kinds {
		out.Problems[i] = openapi.ProblemKind{Slug: k.Slug, Status: k.Status, Title: k.Title(), About: k.About()}
	}
	return answer{body: out}, nil
}
