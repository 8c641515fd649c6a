package document

import (
	"reflect"
	"unicode/utf8"

	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/resource/fetch"
)

var fetchPlan = newPlan(reflect.TypeFor[openapi.FetchInput]())

const maxFetchYears = 40

// DecodeFetch reads what to fetch.
func DecodeFetch(data []byte, s Syntax) (openapi.FetchInput, error) {
	return decodePart(data, s, fetchPlan, func(s *shape, in *openapi.FetchInput) {
		s.bounds("", []bound{{"latitude", &in.Latitude, -90, 90, "degrees", false}, {"longitude", &in.Longitude, -180, 180, "degrees", false},
			{"elevation_m", in.ElevationM, -500, 9000, "m", false}})
		for _, y := range []struct {
			name string
			v    int
		}{{"from_year", in.FromYear}, {"to_year", in.ToYear}} {
			if y.v < 1900 || y.v > 2200 {
				s.add(y.name, "must be a year from 1900 to 2200, not %d", y.v)
			}
		}
		switch {
		case in.ToYear < in.FromYear:
			s.add("to_year", "is before from_year")
		case in.ToYear-in.FromYear >= maxFetchYears:
			s.add("to_year", "at most %d years are fetched at once, not %d", maxFetchYears, in.ToYear-in.FromYear+1)
		}
		if in.Station != nil && (utf8.RuneCountInString(*in.Station) < 1 || utf8.RuneCountInString(*in.Station) > 40) {
			s.add("station", "must be from 1 to 40 characters long")
		}
		if in.Name != nil {
			if *in.Name == "" {
				s.add("name", "must be from 1 to 200 characters long")
			}
			s.name("name", in.Name)
		}
	})
}

// ToFetch is what to fetch in the domain's terms.
func ToFetch(in openapi.FetchInput) (fetch.Place, fetch.Years, fetch.Source) {
	return fetch.Place{Lat: in.Latitude, Lon: in.Longitude, ElevationM: in.ElevationM}, fetch.Years{From: in.FromYear, To: in.ToYear},
		fetch.Source{Archive: fetch.Archive(value(in.Source, openapi.FetchInputSource(fetch.NASAPower))), Station: value(in.Station, "")}
}

// FromChoices is what there is for a place, on the wire.
func FromChoices(all []fetch.Choice, warnings []resource.Warning) openapi.SourceList {
	var n memory
	out := openapi.SourceList{Sources: make([]openapi.SourceChoice, len(all)), Warnings: fromWarnings(warnings, 0)}
	for i, c := range all {
		one := openapi.SourceChoice{Source: string(c.Source.Archive), Station: c.Source.Station, Data: c.Data, FromYear: c.Years.From, ToYear: c.Years.To,
			HeightsM: append([]float64{}, c.HeightsM...), DistanceKm: n.figure(c.DistanceKM), ResolutionKm: n.figure(c.ResolutionKM), Sun: c.Sun,
			Licence: c.Licence, Reason: c.Reason}
		if st := c.Station; st != nil {
			one.Name, one.BearingDeg, one.ElevationDifferenceM = st.Name, n.figure(st.BearingDeg), n.figure(st.ElevationDifferenceM)
		}
		out.Sources[i] = one
	}
	return out
}
