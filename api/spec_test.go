package api

import (
	"context"
	"encoding/json"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"mastworth/openapi"
)

// loadSpec is the contract, checked as a whole, its examples included.
func loadSpec(tb testing.TB) *openapi3.T {
	tb.Helper()
	spec, err := openapi3.NewLoader().LoadFromData(openapi.Spec())
	if err != nil {
		tb.Fatal(err)
	}
	if err := spec.Validate(context.Background(), openapi3.EnableExamplesValidation()); err != nil {
		tb.Fatal(err)
	}
	return spec
}

// exampleJSON is one of the contract's named examples.
func exampleJSON(tb testing.TB, name string) []byte {
	tb.Helper()
	example := loadSpec(tb).Components.Examples[name]
	if example == nil {
		tb.Fatalf("the contract has no example %s", name)
		return nil
	}
	text, err := json.Marshal(example.Value.Value)
	if err != nil {
		tb.Fatal(err)
	}
	return text
}
