package api

import "mastworth/storage"

const defaultPage = 50

// listPage is a slice of a list.
type listPage struct {
	limit int
	after string
}

func newListPage(limit *int, after *string) listPage {
	p := listPage{limit: defaultPage}
	if limit != nil {
		p.limit = *limit
	}
	if after != nil {
		p.after = *after
	}
	return p
}

// wanted asks the store for one item more than is shown, which tells whether there is a next page.
func (p listPage) wanted() storage.Page { return storage.Page{After: p.after, Limit: p.limit + 1} }
