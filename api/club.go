package api

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"mastworth/openapi"
	"mastworth/storage"
)

// ClubOptions are what the club's pages say, and which other websites may show them.
type ClubOptions struct {
	Name         string   // of the club
	Text         string   // a paragraph above the board
	Address      string   // of the service as the world reaches it, such as https://wind.example.org; empty: as each request names it
	Origins      []string // websites whose scripts may read the board, such as https://club.example.org; * is any
	Frames       []string // websites that may frame a public site; * is any
	PlaceStepDeg float64  // places are rounded to multiples of so many degrees; 0: 0.1
}

// DefaultPlaceStepDeg is some 11 km from north to south.
const DefaultPlaceStepDeg = 0.1

// board are the public sites as they were last read from the store. A stamp of the store's tells whether they still are.
type board struct {
	mu   sync.Mutex
	last boardAsOf
}

// boardAsOf is the board at a stamp. What is in it is shared and must not be changed.
type boardAsOf struct {
	stamp string
	sites []openapi.BoardSite
	made  map[string]time.Time // when each was saved first, by id
}

func (b *board) at(stamp string) (boardAsOf, bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.last, b.last.stamp == stamp && stamp != ""
}

// boardAt are all public sites at the stamp of their state.
func (s *service) boardAt(ctx context.Context, stamp string) (boardAsOf, error) {
	if have, ok := s.board.at(stamp); ok {
		return have, nil
	}
	return share(ctx, &s.shared, "board "+stamp, nil, func(ctx context.Context) (boardAsOf, error) { return s.readBoardAt(ctx, stamp) })
}

func (s *service) readBoardAt(ctx context.Context, stamp string) (boardAsOf, error) {
	entries, err := s.Store.Board(ctx)
	if err != nil {
		return boardAsOf{}, stored(err)
	}
	sites, made := make([]openapi.BoardSite, len(entries)), make(map[string]time.Time, len(entries))
	for i := range entries {
		d, err := digestIn(&entries[i])
		if err != nil {
			return boardAsOf{}, err
		}
		sites[i] = s.boardSite(&entries[i], d, s.links())
		made[entries[i].ID] = entries[i].CreatedAt
	}
	s.board.mu.Lock()
	defer s.board.mu.Unlock()
	s.board.last = boardAsOf{stamp, sites, made}
	return s.board.last, nil
}

// digestIn is the digest kept for a public site; nil where there is none.
func digestIn(e *storage.BoardEntry) (*digest, error) {
	if e.Board == nil {
		return nil, nil
	}
	d := new(digest)
	if err := json.Unmarshal(e.Board, d); err != nil {
		return nil, fmt.Errorf("the kept account of site %s for the board: %w", e.ID, err)
	}
	return d, nil
}

// clubLinks are the addresses of what belongs to a public site.
type clubLinks struct{ page, card, json func(id string) string }

// links are those of the service: whole where it knows how the world reaches it.
func (s *service) links() clubLinks {
	base := s.Club.Address
	return clubLinks{
		page: func(id string) string { return base + "/club/sites/" + id },
		card: func(id string) string { return base + "/sites/" + id + "/card.svg" },
		json: func(id string) string { return base + "/v1/club/sites/" + id },
	}
}

// boardSite is a public site as the board has it.
func (s *service) boardSite(e *storage.BoardEntry, d *digest, to clubLinks) openapi.BoardSite {
	out := openapi.BoardSite{ID: e.ID, Name: e.Name, State: openapi.BoardSiteStateNone, Verdict: openapi.BoardSiteVerdictNotYet, UpdatedAt: e.ChangedAt,
		PageURL: to.page(e.ID), CardURL: to.card(e.ID), JSONURL: to.json(e.ID)}
	if d == nil {
		return out
	}
	computed := e.ComputedAt
	out.ComputedAt = &computed
	if computed.After(out.UpdatedAt) {
		out.UpdatedAt = computed
	}
	out.State = openapi.BoardSiteStateCurrent
	if d.Methods != s.methods() {
		out.State = openapi.BoardSiteStateEarlier
	}
	step := s.Club.PlaceStepDeg
	out.Place = &openapi.RoundedPlace{Latitude: toStep(d.Latitude, step), Longitude: toStep(d.Longitude, step), StepDeg: step}
	out.Machine, out.HubHeightM, out.NetKWh, out.NetKWhP90 = d.Machine, d.HubHeightM, d.NetKWh, d.P90KWh
	out.CostPerKWh, out.SolarPerKWh, out.Currency = d.PerKWh, d.SolarPerKWh, d.Currency
	out.Verdict, out.Chance = d.Verdict, d.Chance
	return out
}

// boardQuery is what of the board is asked for.
type boardQuery struct {
	sort, verdict, after string
	limit                int // 0: all
}

// tag names the answer to a query in a state of the board.
func (q boardQuery) tag(s *service, kind, stamp string) string {
	return hashTag(kind, s.methods(), s.looks, stamp, q.sort, q.verdict, q.after, fmt.Sprint(q.limit), s.clubSettings())
}

// clubSettings are the settings that the club's answers depend on.
func (s *service) clubSettings() string { return fmt.Sprintf("%q", []any{s.Club}) }

// orders compare two sites; what is not known comes last.
var orders = map[string]func(a, b *openapi.BoardSite) int{
	"updated": func(a, b *openapi.BoardSite) int { return b.UpdatedAt.Compare(a.UpdatedAt) },
	"name": func(a, b *openapi.BoardSite) int {
		return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name))
	},
	"energy": func(a, b *openapi.BoardSite) int { return byNumber(a.NetKWh, b.NetKWh, -1) },
	"cost": func(a, b *openapi.BoardSite) int {
		if a.CostPerKWh != nil && b.CostPerKWh != nil && a.Currency != b.Currency {
			return strings.Compare(a.Currency, b.Currency) // they cannot be compared and stand apart
		}
		return byNumber(a.CostPerKWh, b.CostPerKWh, 1)
	},
	"height": func(a, b *openapi.BoardSite) int { return byNumber(a.HubHeightM, b.HubHeightM, 1) },
}

// byNumber compares two numbers, rising or falling by the sign.
func byNumber(a, b *float64, sign int) int {
	switch {
	case a == nil && b == nil:
		return 0
	case a == nil:
		return 1
	case b == nil:
		return -1
	}
	return sign * cmp.Compare(*a, *b)
}

// choose is the part of the board that is asked for.
func (q boardQuery) choose(all []openapi.BoardSite) (sites []openapi.BoardSite, total int, next *string) {
	sites = make([]openapi.BoardSite, 0, len(all))
	for i := range all {
		if q.verdict == "" || string(all[i].Verdict) == q.verdict {
			sites = append(sites, all[i])
		}
	}
	order := orders[q.sort]
	slices.SortStableFunc(sites, func(a, b openapi.BoardSite) int { return cmp.Or(order(&a, &b), strings.Compare(a.ID, b.ID)) })
	total = len(sites)
	if q.after != "" {
		at := slices.IndexFunc(sites, func(b openapi.BoardSite) bool { return b.ID == q.after })
		if at < 0 {
			at = total - 1 // it has gone meanwhile: there is nothing after it
		}
		sites = sites[at+1:]
	}
	if q.limit > 0 && len(sites) > q.limit {
		sites = sites[:q.limit]
		next = &sites[q.limit-1].ID
	}
	return sites, total, next
}

// boardDocument answers a query.
func (s *service) boardDocument(ctx context.Context, q boardQuery, stamp string) (openapi.Board, error) {
	all, err := s.boardAt(ctx, stamp)
	if err != nil {
		return openapi.Board{}, err
	}
	return s.boardFrom(q, all), nil
}

func (s *service) boardFrom(q boardQuery, all boardAsOf) openapi.Board {
	out := openapi.Board{Name: s.Club.Name, Text: s.Club.Text}
	out.Sites, out.Total, out.Next = q.choose(all.sites)
	return out
}

// shared is how long a public answer may be taken for the latest by whoever keeps it.
var shared = []string{"public, max-age=60"}

const sharedFor = time.Minute

// publicAnswer is a JSON answer that everybody may have and keep for a while.
type publicAnswer struct {
	answer
	unchanged bool
}

func (a publicAnswer) send(w http.ResponseWriter) error {
	if !a.unchanged {
		return a.answer.send(&keeping{w, shared}, http.StatusOK)
	}
	return notModified{a.etag}.send(&keeping{w, shared})
}

// keeping is a writer of an answer that says who may keep it for how long.
type keeping struct {
	http.ResponseWriter
	kept []string
}

// WriteHeader replaces what answers to one alone say.
func (w *keeping) WriteHeader(status int) {
	w.Header()["Cache-Control"] = w.kept
	w.ResponseWriter.WriteHeader(status)
}

func (a publicAnswer) VisitReadBoardResponse(w http.ResponseWriter) error      { return a.send(w) }
func (a publicAnswer) VisitReadPublicSiteResponse(w http.ResponseWriter) error { return a.send(w) }

// ReadBoard answers the board.
func (s *service) ReadBoard(ctx context.Context, r openapi.ReadBoardRequestObject) (openapi.ReadBoardResponseObject, error) {
	ctx = requestContext(ctx)
	page := newListPage(r.Params.Limit, r.Params.After)
	q := boardQuery{sort: "updated", after: page.after, limit: page.limit}
	if r.Params.Sort != nil {
		q.sort = string(*r.Params.Sort)
	}
	if r.Params.Verdict != nil {
		q.verdict = string(*r.Params.Verdict)
	}
	stamp, err := s.Store.BoardStamp(ctx)
	if err != nil {
		return nil, stored(err)
	}
	etag := q.tag(s, "board", stamp)
	if matches(r.Params.IfNoneMatch, etag) {
		return publicAnswer{answer{etag: etag}, true}, nil
	}
	out, err := s.boardDocument(ctx, q, stamp)
	return publicAnswer{answer{body: out, etag: etag}, false}, err
}
