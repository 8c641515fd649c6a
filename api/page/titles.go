package page

import (
	"net/url"

	"mastworth/openapi"
)

// RecordTitle is what a record is called in a list to choose from.
func RecordTitle(r *openapi.RecordSummary) string {
	return recordName(r.Name) + ", " + spanOf(string(r.Kind), Day(r.First), Day(r.Last))
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
