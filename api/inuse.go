package api

import (
	"context"

	"mastworth/storage"
)

// recordUsed says which sites use a record.
func (s *service) recordUsed(ctx context.Context, id string) error {
	p := newProblem(recordInUse, "a saved site takes its wind, its long run or its turbine's log from this record")
	return s.usedBy(ctx, p, "record", func(site *storage.Site) bool {
		return site.RecordID == id || site.ReferenceID == id || site.LogID == id
	})
}

// curveUsed says which sites use a kept curve.
func (s *service) curveUsed(ctx context.Context, id string) error {
	p := newProblem(curveInUse, "a saved site takes its turbine from this curve")
	return s.usedBy(ctx, p, "turbine", func(site *storage.Site) bool { return site.CurveID == id })
}

// usedBy names the sites that use something, as far as it is quick to find out; other is what they could be given instead.
func (s *service) usedBy(ctx context.Context, p *problem, other string, uses func(*storage.Site) bool) error {
	const looked = 500
	sites, err := s.Store.Sites(ctx, storage.Page{Limit: looked})
	if err != nil {
		return stored(err)
	}
	for i := range sites {
		if uses(&sites[i]) {
			p.add("path.id", "is used by the site %q; delete that, or give it another "+other+", first", sites[i].ID)
		}
	}
	return p
}
