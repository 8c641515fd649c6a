// Package openapi holds the contract of the service, openapi.yaml, and what is generated from it: the types on the wire and
// the server interface. Change the contract first, then run go generate.
package openapi

import (
	"bytes"
	"compress/gzip"
	_ "embed" // for the contract
	"io"
	"sync"
)

//go:generate go tool oapi-codegen -config config.yaml openapi.yaml
//go:generate go run pack.go

//go:embed openapi.yaml.gz
var packed []byte

// Spec is the contract, as YAML. It must not be changed.
var Spec = sync.OnceValue(func() []byte {
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		panic("openapi: the packed contract: " + err.Error())
	}
	text, err := io.ReadAll(r)
	if err != nil {
		panic("openapi: the packed contract: " + err.Error())
	}
	return text
})
