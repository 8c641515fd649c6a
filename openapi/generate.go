// Package openapi holds the contract of the service, openapi.yaml, and what is generated from it: the types on the wire and
// the server interface. Change the contract first, then run go generate.
package openapi

import _ "embed" // for the contract

//go:generate go tool oapi-codegen -config config.yaml openapi.yaml

// Spec is the contract, as YAML. It must not be changed.
//
//go:embed openapi.yaml
var Spec []byte
