package api

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"mastworth/api/chart"
	"mastworth/api/document"
	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/storage"
)

// exportedSite is a public site that is written as files.
type exportedSite struct {
	entry  storage.BoardEntry
	digest *digest
}

// Export writes what the club shows as files that need no service: the board (index.html, board.json, feed.atom), and of each public
// site a page, a card and its numbers. Links are relative; address is where the files will lie, for the feed alone, or empty. Sites
// whose numbers are not kept are worked out. The same data make the same files, in the same order. The error is the store's, the
// context's, or write's.
func Export(ctx context.Context, o Options, address string, write func(name string, body []byte) error) error {
	s := newService(o)
	entries, err := s.Store.Board(ctx)
	if err != nil {
		return stored(err)
	}
	x := &export{s: s, write: write, assets: map[string]page.Asset{}}
	sites := make([]exportedSite, 0, len(entries))
	board := openapi.Board{Name: s.Club.Name, Text: s.Club.Text}
	fromRoot := clubLinks{
		page: func(id string) string { return "sites/" + id + "/index.html" },
		card: func(id string) string { return "sites/" + id + "/card.svg" },
		json: func(id string) string { return "sites/" + id + "/site.json" },
	}
	for i := range entries {
		e, d, err := s.shownSite(ctx, entries[i].ID)
		if isMissing(err) { // hidden or deleted meanwhile
			continue
		}
		if err = cmp.Or(ctx.Err(), err); err != nil {
			return err
		}
		sites = append(sites, exportedSite{e, d})
		board.Sites = append(board.Sites, s.boardSite(&e, d, fromRoot))
	}
	board.Sites, board.Total, board.Next = boardQuery{sort: "updated"}.choose(board.Sites)
	if err := x.board(&board, sites, address); err != nil {
		return err
	}
	for i := range sites {
		if err := cmp.Or(ctx.Err(), x.site(&sites[i])); err != nil {
			return err
		}
	}
	return x.styles()
}

// export is under way.
type export struct {
	s      *service
	write  func(name string, body []byte) error
	assets map[string]page.Asset // that pages so far link to, by name
}

func (x *export) json(name string, v any) error {
	body, err := document.EncodeJSON(v)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return x.write(name, body)
}

// page writes a page that lies so deep below the root, and remembers the files it links to.
func (x *export) page(name, template string, f *page.Frame) error {
	f.Embed = true // nothing else of the service is there to be led to
	var b bytes.Buffer
	if err := x.s.pages.Render(&b, template, f); err != nil {
		return err
	}
	up := strings.Repeat("../", strings.Count(name, "/"))
	body := b.Bytes()
	for asset, a := range x.s.pages.Assets() {
		if bytes.Contains(body, []byte(a.Path)) {
			x.assets[asset] = a
			body = bytes.ReplaceAll(body, []byte(a.Path), []byte(up+"assets/"+asset))
		}
	}
	return x.write(name, body)
}

func (x *export) board(b *openapi.Board, sites []exportedSite, address string) error {
	if err := x.json("board.json", b); err != nil {
		return err
	}
	p := page.NewClub(b, page.Units{})
	p.Feed, p.All = "feed.atom", "board.json"
	if err := x.page("index.html", "club", &page.Frame{Title: p.Name, Page: p}); err != nil {
		return err
	}
	base := ""
	if address != "" {
		base = strings.TrimSuffix(address, "/") + "/"
	}
	inFeed := *b
	inFeed.Sites = slices.Clone(b.Sites)
	for i := range inFeed.Sites {
		inFeed.Sites[i].PageURL = base + inFeed.Sites[i].PageURL
	}
	made := make(map[string]time.Time, len(sites))
	for i := range sites {
		made[sites[i].entry.ID] = sites[i].entry.CreatedAt
	}
	feed, err := feedOf(&inFeed, made, authority(cmp.Or(x.s.Club.Address, address)), base+"feed.atom", base+"index.html")
	if err != nil {
		return err
	}
	return x.write("feed.atom", feed)
}

func (x *export) site(e *exportedSite) error {
	here := func(name string) func(string) string { return func(string) string { return name } }
	folder := "sites/" + e.entry.ID + "/"
	public := x.s.publicSite(&e.entry, e.digest, clubLinks{here("index.html"), here("card.svg"), here("site.json")})
	if err := x.json(folder+"site.json", public); err != nil {
		return err
	}
	if err := x.write(folder+"card.svg", page.Card(&public.Site, x.s.Club.Name)); err != nil {
		return err
	}
	p, err := page.NewPublicSite(&public, page.Units{}, "")
	if err != nil {
		return err
	}
	if err := x.charts(folder, page.PublicCharts(&public, page.Units{})); err != nil {
		return err
	}
	p.Board = "../../index.html"
	return x.page(folder+"index.html", "clubsite", &page.Frame{Title: p.Row.Name, JSON: "site.json", Page: p})
}

// charts writes a site's charts as files.
func (x *export) charts(folder string, all []chart.Chart) error {
	for i := range all {
		for _, format := range slices.Sorted(maps.Keys(chartFormats)) {
			var b bytes.Buffer
			if err := writeChart(&b, &all[i], format, chart.Options{}); err != nil {
				return err
			}
			if err := x.write(folder+all[i].Name+"."+format, b.Bytes()); err != nil {
				return err
			}
		}
	}
	return nil
}

// styles writes the files that pages link to.
func (x *export) styles() error {
	names := make([]string, 0, len(x.assets))
	for name := range x.assets {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		if err := x.write("assets/"+name, x.assets[name].Body); err != nil {
			return err
		}
	}
	return nil
}
