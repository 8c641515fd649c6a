package page

import (
	"net/url"
	"time"
)

// RecordTitle is what a record is called in a list to choose from, its times in seconds since 1970.
func RecordTitle(name string, firstUnix, lastUnix int64) string {
	return recordName(name) + ", " + Day(time.Unix(firstUnix, 0)) + " – " + Day(time.Unix(lastUnix, 0))
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
