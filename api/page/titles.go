package page

import (
	"net/url"
	"slices"

	"mastworth/openapi"
)

// RecordTitle is what a record is called in a list to choose from.
func RecordTitle(r *openapi.RecordSummary) string {
	return recordName(r.Name) + ", " + daysOf(r)
}

// Choose marks the choice of a value, in a list of its own. What is not among them is added, in its own words.
func Choose(all []Choice, value string) []Choice {
	out, found := slices.Clone(all), false
	for i := range out {
		out[i].Chosen = out[i].Value == value
		found = found || out[i].Chosen
	}
	if !found {
		out = append(out, Choice{Value: value, Words: value, Chosen: true})
	}
	return out
}

// CurveTitle is what a curve is called in such a list.
func CurveTitle(name string) string { return curveName(name) }

// SiteTitle is what a site is called.
func SiteTitle(name string) string {
	if name == "" {
		return Text("sites.no_name")
	}
	return name
}

// FetchSources are the public sources to choose between.
func FetchSources() []Choice { return NewFetchForm(url.Values{}, nil).Sources }
