package api

import (
	"context"
	"encoding/json"
	"net/http"
	"sync"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
	"mastworth/openapi"
)

func (a answer) VisitListMethodsResponse(w http.ResponseWriter) error {
	return a.send(w, http.StatusOK)
}

func (n notModified) VisitListMethodsResponse(w http.ResponseWriter) error { return n.send(w) }

// methods never change while the program runs.
var methods = sync.OnceValues(func() (openapi.MethodList, string) {
	list := page.Methods()
	raw, err := json.Marshal(list)
	if err != nil {
		panic("api: the methods are no JSON: " + err.Error())
	}
	return list, hashTag(string(raw))
})

// ListMethods tells how every number is worked out.
func (s *service) ListMethods(_ context.Context, r openapi.ListMethodsRequestObject) (openapi.ListMethodsResponseObject, error) {
	list, tag := methods()
	if matches(r.Params.IfNoneMatch, tag) {
		return notModified{tag}, nil
	}
	return answer{body: list, etag: tag}, nil
}

// readMethodPage is the same for people.
func (s *service) readMethodPage(c *gin.Context) error {
	return s.showKept(c, &s.methodPage, func() (string, *page.Frame, error) {
		list, _ := methods()
		p, err := page.NewMethodPage(&list)
		return "method", &page.Frame{Title: page.Text("methods.title"), JSON: "/v1/methods", Page: p}, err
	})
}

// readContractPage is the contract for people.
func (s *service) readContractPage(c *gin.Context) error {
	return s.showKept(c, &s.contractPage, func() (string, *page.Frame, error) {
		p, err := page.NewContractPage()
		return "contract", &page.Frame{Title: page.Text("contract.title", p.Version), Page: p}, err
	})
}
