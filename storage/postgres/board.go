package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"mastworth/storage"
)

const (
	boardColumns = `s.id, CASE s.shown_as WHEN '' THEN s.name ELSE s.shown_as END, s.version, s.created_us, s.show_costs, s.club_us,
	b.board, COALESCE(b.computed_us, 0)`
	publicSites = ` FROM sites s LEFT JOIN boards b ON b.site_id = s.id WHERE s.public = 1`
)

// truth is a yes or no as the tables have it: SQLite knows whole numbers alone, and both are to be the same.
func truth(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

func scanBoardEntry(row pgx.CollectableRow) (storage.BoardEntry, error) {
	var e storage.BoardEntry
	var created, changed, computed int64
	var costs int
	err := row.Scan(&e.ID, &e.Name, &e.Version, &created, &costs, &changed, &e.Board, &computed)
	e.CreatedAt, e.ShowCosts = storage.MicroTime(created), costs == 1
	e.ChangedAt, e.ComputedAt = storage.MicroTime(changed), storage.MicroTime(computed)
	return e, err
}

// boardStates tells all that the board rests on, in one row: thousands of them would take longer to send than to find.
const boardStates = `SELECT COALESCE(string_agg(length(s.id) || ':' || s.id || ' ' || s.version || ' ' || s.club_us || ' ' ||
	COALESCE(b.computed_us, 0) || ' ' || COALESCE(b.key, ''), E'\\n' ORDER BY s.id COLLATE "C"), '')` + publicSites

// BoardStamp names the state of all public sites.
func (s *Store) BoardStamp(ctx context.Context) (string, error) {
	states, err := one(s.ask(ctx, boardStates), "states of public sites", pgx.RowTo[string])
	return storage.StampOf(states), err
}

// Board lists all public sites, by ID.
func (s *Store) Board(ctx context.Context) ([]storage.BoardEntry, error) {
	asked := s.ask(ctx, "SELECT "+boardColumns+publicSites+` ORDER BY s.id COLLATE "C"`)
	return all(asked, "public sites", scanBoardEntry)
}

// BoardEntry reads one public site.
func (s *Store) BoardEntry(ctx context.Context, siteID string) (storage.BoardEntry, error) {
	asked := s.ask(ctx, "SELECT "+boardColumns+publicSites+" AND s.id = $1", siteID)
	return one(asked, "public site "+siteID, scanBoardEntry)
}

// SetClub replaces what a site shows.
func (s *Store) SetClub(ctx context.Context, id string, version int64, c storage.Club) (site storage.Site, err error) {
	err = s.inTransaction(ctx, "what site "+id+" shows", func(ctx context.Context, tx pgx.Tx) error {
		rows, err := tx.Query(ctx, "SELECT "+siteColumns+" FROM sites WHERE id = $1 FOR UPDATE", id)
		if err != nil {
			return err
		}
		if site, err = pgx.CollectExactlyOneRow(rows, scanSite); err != nil {
			return err
		}
		if version != 0 && version != site.Version {
			return storage.ErrConflict
		}
		site.Version, site.Club = site.Version+1, c
		_, err = tx.Exec(ctx, "UPDATE sites SET public = $1, shown_as = $2, show_costs = $3, club_us = $4, version = $5 WHERE id = $6",
			truth(c.Public), c.ShownAs, truth(c.ShowCosts), storage.Micros(c.ChangedAt), site.Version, id)
		return err
	})
	return site, err
}
