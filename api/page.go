package api

import "mastworth/storage"

const defaultPage = 50

// page is a slice of a list.
type page struct {
	limit int
	after string
}

func newPage(limit *int, after *string) page {
	p := page{limit: defaultPage}
	if limit != nil {
		p.limit = *limit
	}
	if after != nil {
		p.after = *after
	}
	return p
}

// wanted asks the store for one item more than is shown, which tells whether there is a next page.
func (p page) wanted() storage.Page { return storage.Page{After: p.after, Limit: p.limit + 1} }
