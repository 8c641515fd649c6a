package sqlite

import (
	"context"
	"database/sql"
	"fmt"

	"mastworth/storage"
)

const (
	boardColumns = `s.id, CASE s.shown_as WHEN '' THEN s.name ELSE s.shown_as END, s.version, s.created_us, s.show_costs, s.club_us,
	b.board, COALESCE(b.computed_us, 0)`
	publicSites = ` FROM sites s LEFT JOIN boards b ON b.site_id = s.id WHERE s.public = 1`
)

func scanBoardEntry(scan func(...any) error) (storage.BoardEntry, error) {
	var e storage.BoardEntry
	var created, changed, computed int64
	var costs int
	err := scan(&e.ID, &e.Name, &e.Version, &created, &costs, &changed, &e.Board, &computed)
	e.CreatedAt, e.ShowCosts = storage.MicroTime(created), costs == 1
	e.ChangedAt, e.ComputedAt = storage.MicroTime(changed), storage.MicroTime(computed)
	return e, err
}

// boardStates tells all that the board rests on, in one row: thousands of them would take the driver longer than the database.
const boardStates = `SELECT group_concat(state, char(10)) FROM (
	SELECT length(s.id) || ':' || s.id || ' ' || s.version || ' ' || s.club_us || ' ' || COALESCE(b.computed_us, 0) || ' ' || COALESCE(b.key, '') AS state` +
	publicSites + ` ORDER BY s.id)`

// BoardStamp names the state of all public sites.
func (s *Store) BoardStamp(ctx context.Context) (string, error) {
	var states sql.NullString
	if err := s.read.QueryRowContext(ctx, boardStates).Scan(&states); err != nil {
		return "", fmt.Errorf("sqlite: states of public sites: %w", err)
	}
	return storage.StampOf(states.String), nil
}

// Board lists all public sites, by ID.
func (s *Store) Board(ctx context.Context) ([]storage.BoardEntry, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT "+boardColumns+publicSites+" ORDER BY s.id")
	return collect(rows, err, "public sites", scanBoardEntry)
}

// BoardEntry reads one public site.
func (s *Store) BoardEntry(ctx context.Context, siteID string) (storage.BoardEntry, error) {
	e, err := scanBoardEntry(s.read.QueryRowContext(ctx, "SELECT "+boardColumns+publicSites+" AND s.id = ?", siteID).Scan)
	if err != nil {
		return e, fmt.Errorf("sqlite: public site %s: %w", siteID, mapped(err))
	}
	return e, nil
}

// SetClub replaces what a site shows.
func (s *Store) SetClub(ctx context.Context, id string, version int64, c storage.Club) (site storage.Site, err error) {
	err = s.inTransaction(ctx, "what site "+id+" shows", func(tx *sql.Tx) error {
		if site, err = scanSite(tx.QueryRowContext(ctx, "SELECT "+siteColumns+" FROM sites WHERE id = ?", id).Scan); err != nil {
			return mapped(err)
		}
		if version != 0 && version != site.Version {
			return storage.ErrConflict
		}
		site.Version, site.Club = site.Version+1, c
		_, err := tx.ExecContext(ctx, "UPDATE sites SET public = ?, shown_as = ?, show_costs = ?, club_us = ?, version = ? WHERE id = ?",
			c.Public, c.ShownAs, c.ShowCosts, storage.Micros(c.ChangedAt), site.Version, id)
		return err
	})
	return site, err
}
