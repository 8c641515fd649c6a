package document

import (
	"reflect"

	"mastworth/openapi"
)

var keyPlan = newPlan(reflect.TypeFor[openapi.KeyRequest]())

// MostKeyDays is the longest life of a key that ends.
const MostKeyDays = 3650

// DecodeKey reads what key to make.
func DecodeKey(data []byte, s Syntax) (openapi.KeyRequest, error) {
	return decodePart(data, s, keyPlan, func(s *shape, in *openapi.KeyRequest) {
		s.name("name", &in.Name)
		s.length("name", in.Name, 1, 100)
		if d := in.Days; d != nil && (*d < 1 || *d > MostKeyDays) {
			s.add("days", "must be from 1 to %d days, not %d; leave it out for a key that never ends", MostKeyDays, *d)
		}
	})
}
