package document

import (
	"reflect"

	"mastworth/openapi"
)

// MaxShownAs is how long the name of a public site may be, characters.
const MaxShownAs = 80

var clubPlan = newPlan(reflect.TypeFor[openapi.ClubInput]())

// DecodeClub reads what a site is to show to everybody.
func DecodeClub(data []byte, s Syntax) (openapi.ClubInput, error) {
	return decodePart(data, s, clubPlan, func(s *shape, in *openapi.ClubInput) {
		if in.ShownAs != nil {
			s.length("shown_as", *in.ShownAs, 0, MaxShownAs)
		}
	})
}
