package api

import (
	"context"
	"net/http"

	"mastworth/api/document"
	"mastworth/openapi"
)

func (a answer) VisitBalanceRotorResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}

// BalanceRotor puts blades in the order that leaves the least imbalance.
func (s *service) BalanceRotor(_ context.Context, r openapi.BalanceRotorRequestObject) (openapi.BalanceRotorResponseObject, error) {
	text, syntax, err := s.readText(r.Body, r.ContentType)
	if err != nil {
		return nil, err
	}
	defer freeBuffer(text)
	in, err := document.DecodeBalance(text.Bytes(), syntax)
	if err != nil {
		return nil, err
	}
	out, err := document.BalanceOf(in)
	if err != nil {
		return nil, err
	}
	return answer{body: out}, nil
}
