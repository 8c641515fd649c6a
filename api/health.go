package api

import (
	"context"
	"net/http"

	"mastworth/openapi"
)

func (a answer) VisitCheckAliveResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }
func (a answer) VisitCheckReadyResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }

// CheckAlive says that the process answers.
func (s *service) CheckAlive(context.Context, openapi.CheckAliveRequestObject) (openapi.CheckAliveResponseObject, error) {
	return answer{body: openapi.Health{Status: openapi.HealthStatusOk}}, nil
}

// CheckReady says whether the database answers too.
func (s *service) CheckReady(ctx context.Context, _ openapi.CheckReadyRequestObject) (openapi.CheckReadyResponseObject, error) {
	ctx = requestContext(ctx)
	if err := s.Store.Ping(ctx); err != nil {
		return nil, stored(err)
	}
	return answer{body: openapi.Health{Status: openapi.HealthStatusOk}}, nil
}

// contract is the contract itself.
type contract struct{}

var contractTag = hashTag(string(openapi.Spec))

func (contract) VisitReadContractResponse(w http.ResponseWriter) error {
	w.Header().Set("Content-Type", "application/yaml")
	tagged(w.Header(), contractTag)
	_, err := w.Write(openapi.Spec)
	return err
}

func (n notModified) VisitReadContractResponse(w http.ResponseWriter) error { return n.send(w) }

// ReadContract answers the contract.
func (s *service) ReadContract(_ context.Context, r openapi.ReadContractRequestObject) (openapi.ReadContractResponseObject, error) {
	if matches(r.Params.IfNoneMatch, contractTag) {
		return notModified{contractTag}, nil
	}
	return contract{}, nil
}
