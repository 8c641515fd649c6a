package api

import (
	"context"
	"net/http"
	"sync"
	"time"

	"mastworth/openapi"
)

func (a answer) VisitCheckAliveResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }
func (a answer) VisitCheckReadyResponse(w http.ResponseWriter) error { return a.send(w, http.StatusOK) }

// CheckAlive says that the process answers.
func (s *service) CheckAlive(context.Context, openapi.CheckAliveRequestObject) (openapi.CheckAliveResponseObject, error) {
	return answer{body: openapi.Health{Status: openapi.HealthStatusOk}}, nil
}

// readyTime is how long the database has for showing that it is there.
const readyTime = 3 * time.Second

// CheckReady says whether the database answers too.
func (s *service) CheckReady(ctx context.Context, _ openapi.CheckReadyRequestObject) (openapi.CheckReadyResponseObject, error) {
	// Whoever asks does not wait for long, and "not in time" is an answer.
	ctx, cancel := context.WithTimeout(requestContext(ctx), readyTime)
	defer cancel()
	if err := s.Store.Ping(ctx); err != nil {
		return nil, &storeError{err}
	}
	return answer{body: openapi.Health{Status: openapi.HealthStatusOk}}, nil
}

// contract is the contract itself.
type contract struct{}

var contractTag = sync.OnceValue(func() string { return hashTag(string(openapi.Spec())) })

func (contract) VisitReadContractResponse(w http.ResponseWriter) error {
	w.Header().Set("Content-Type", "application/yaml")
	tagged(w.Header(), contractTag())
	_, err := w.Write(openapi.Spec())
	return err
}

func (n notModified) VisitReadContractResponse(w http.ResponseWriter) error { return n.send(w) }

// ReadContract answers the contract.
func (s *service) ReadContract(_ context.Context, r openapi.ReadContractRequestObject) (openapi.ReadContractResponseObject, error) {
	if matches(r.Params.IfNoneMatch, contractTag()) {
		return notModified{contractTag()}, nil
	}
	return contract{}, nil
}
