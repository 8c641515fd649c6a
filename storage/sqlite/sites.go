package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"mastworth/storage"
)

const siteColumns = `id, name, COALESCE(record_id, ''), COALESCE(reference_id, ''), COALESCE(log_id, ''),
	COALESCE(curve_id, ''), request, version, created_us, updated_us,
	public, shown_as, show_costs, club_us`

func scanSite(scan func(...any) error) (storage.Site, error) {
	var s storage.Site
	var created, updated, changed int64
	var public, costs int
	err := scan(&s.ID, &s.Name, &s.RecordID, &s.ReferenceID, &s.LogID, &s.CurveID, &s.Request, &s.Version, &created, &updated,
		&public, &s.Club.ShownAs, &costs, &changed)
	s.CreatedAt, s.UpdatedAt = time.UnixMicro(created).UTC(), time.UnixMicro(updated).UTC()
	s.Club.Public, s.Club.ShowCosts, s.Club.ChangedAt = public == 1, costs == 1, storage.MicroTime(changed)
	return s, err
}

// hasRow is ErrNotFound where a site names a row of a table that is not there.
func hasRow(ctx context.Context, tx *sql.Tx, table, id string) error {
	if id == "" {
		return nil
	}
	var there int
	if err := tx.QueryRowContext(ctx, "SELECT 1 FROM "+table+" WHERE id = ?", id).Scan(&there); err != nil {
		return fmt.Errorf("%s of %s: %w", id, table, mapped(err))
	}
	return nil
}

// namedRows looks at all that a site names.
func namedRows(ctx context.Context, tx *sql.Tx, s *storage.Site) error {
	for _, id := range []string{s.RecordID, s.ReferenceID, s.LogID} {
		if err := hasRow(ctx, tx, "records", id); err != nil {
			return err
		}
	}
	return hasRow(ctx, tx, "curves", s.CurveID)
}

// CreateSite stores a new site.
func (s *Store) CreateSite(ctx context.Context, site storage.Site) (storage.Site, error) {
	site.Version = 1
	err := s.inTransaction(ctx, "storing site "+site.ID, func(tx *sql.Tx) error {
		if err := namedRows(ctx, tx, &site); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO sites (id, name, record_id, reference_id, log_id, curve_id, request, version, created_us, updated_us,
			public, shown_as, show_costs, club_us)
			VALUES (?, ?, NULLIF(?, ''), NULLIF(?, ''), NULLIF(?, ''), NULLIF(?, ''), ?, ?, ?, ?, ?, ?, ?, ?)`, site.ID, site.Name, site.RecordID,
			site.ReferenceID, site.LogID, site.CurveID, site.Request, site.Version,
			site.CreatedAt.UnixMicro(), site.UpdatedAt.UnixMicro(), site.Club.Public, site.Club.ShownAs, site.Club.ShowCosts,
			storage.Micros(site.Club.ChangedAt))
		return err
	})
	return site, err
}

// Site reads one site.
func (s *Store) Site(ctx context.Context, id string) (storage.Site, error) {
	site, err := scanSite(s.read.QueryRowContext(ctx, "SELECT "+siteColumns+" FROM sites WHERE id = ?", id).Scan)
	if err != nil {
		return site, fmt.Errorf("sqlite: site %s: %w", id, mapped(err))
	}
	return site, nil
}

// Sites lists sites, newest first.
func (s *Store) Sites(ctx context.Context, p storage.Page) ([]storage.Site, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT "+siteColumns+` FROM sites
		WHERE ?1 = '' OR (created_us, id) < (SELECT created_us, id FROM sites WHERE id = ?1)
		ORDER BY created_us DESC, id DESC LIMIT ?2`, p.After, p.Limit)
	return collect(rows, err, "sites", scanSite)
}

// UpdateSite replaces a site while it still has the version given, and drops its estimate.
func (s *Store) UpdateSite(ctx context.Context, site storage.Site) (storage.Site, error) {
	err := s.inTransaction(ctx, "updating site "+site.ID, func(tx *sql.Tx) error {
		stored, err := scanSite(tx.QueryRowContext(ctx, "SELECT "+siteColumns+" FROM sites WHERE id = ?", site.ID).Scan)
		if err != nil {
			return mapped(err)
		}
		if site.Version != 0 && site.Version != stored.Version {
			return storage.ErrConflict
		}
		if err := namedRows(ctx, tx, &site); err != nil {
			return err
		}
		site.Version, site.CreatedAt, site.Club = stored.Version+1, stored.CreatedAt, stored.Club
		if _, err := tx.ExecContext(ctx, `UPDATE sites SET name = ?, record_id = NULLIF(?, ''), reference_id = NULLIF(?, ''),
			log_id = NULLIF(?, ''), curve_id = NULLIF(?, ''), request = ?, version = ?, updated_us = ? WHERE id = ?`, site.Name, site.RecordID,
			site.ReferenceID, site.LogID, site.CurveID, site.Request, site.Version, site.UpdatedAt.UnixMicro(), site.ID); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "DELETE FROM estimates WHERE site_id = ?", site.ID)
		return err
	})
	return site, err
}

// DeleteSite deletes a site and its estimate.
func (s *Store) DeleteSite(ctx context.Context, id string) error {
	return s.inTransaction(ctx, "deleting site "+id, func(tx *sql.Tx) error {
		return affectsOne(tx.ExecContext(ctx, "DELETE FROM sites WHERE id = ?", id))
	})
}

// SaveEstimate keeps an answer for a site.
func (s *Store) SaveEstimate(ctx context.Context, e storage.SavedEstimate) error {
	return s.inTransaction(ctx, "keeping the estimate of site "+e.SiteID, func(tx *sql.Tx) error {
		if err := affectsOne(tx.ExecContext(ctx, `INSERT INTO estimates (site_id, key, body)
			SELECT id, ?2, ?3 FROM sites WHERE id = ?1 AND (?4 = 0 OR updated_us = ?4)
			ON CONFLICT (site_id) DO UPDATE SET key = excluded.key, body = excluded.body`, e.SiteID, e.Key, e.Body, storage.Micros(e.Of))); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO boards (site_id, key, computed_us, board) VALUES (?, ?, ?, ?)
			ON CONFLICT (site_id) DO UPDATE SET key = excluded.key, computed_us = excluded.computed_us, board = excluded.board`,
			e.SiteID, e.Key, storage.Micros(e.ComputedAt), e.Board)
		return err
	})
}

// Estimate returns the answer kept for a site.
func (s *Store) Estimate(ctx context.Context, siteID string) (storage.SavedEstimate, error) {
	e := storage.SavedEstimate{SiteID: siteID}
	var computed int64
	if err := s.read.QueryRowContext(ctx, `SELECT e.key, e.body, b.board, COALESCE(b.computed_us, 0)
		FROM estimates e LEFT JOIN boards b ON b.site_id = e.site_id WHERE e.site_id = ?`, siteID).
		Scan(&e.Key, &e.Body, &e.Board, &computed); err != nil {
		return e, fmt.Errorf("sqlite: estimate of site %s: %w", siteID, mapped(err))
	}
	e.ComputedAt = storage.MicroTime(computed)
	return e, nil
}

// EstimateStamps names the states of sites and of their kept answers.
func (s *Store) EstimateStamps(ctx context.Context, siteIDs []string) (map[string]string, error) {
	stamps := make(map[string]string, len(siteIDs))
	for _, id := range siteIDs {
		if _, have := stamps[id]; have {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("sqlite: state of site %s: %w", id, err)
		}
		var site storage.Site
		var created, updated int64
		var key string
		// One row by its key needs no watch on cancellation, whose goroutines would cost as much as the row.
		err := s.stamp.QueryRowContext(context.WithoutCancel(ctx), id).Scan(&site.Version, &created, &updated, &key)
		switch {
		case errors.Is(err, sql.ErrNoRows):
			continue
		case err != nil:
			return nil, fmt.Errorf("sqlite: state of site %s: %w", id, err)
		}
		site.CreatedAt, site.UpdatedAt = time.UnixMicro(created), time.UnixMicro(updated)
		stamps[id] = storage.EstimateStamp(&site, key)
	}
	return stamps, nil
}

// Outcomes returns the answers kept for sites, without their bodies.
func (s *Store) Outcomes(ctx context.Context, siteIDs []string) ([]storage.SavedEstimate, error) {
	ids, err := json.Marshal(siteIDs)
	if err != nil {
		return nil, fmt.Errorf("sqlite: naming sites: %w", err)
	}
	rows, err := s.read.QueryContext(ctx, `SELECT site_id, key, board, computed_us FROM boards
		WHERE site_id IN (SELECT value FROM json_each(?)) AND board IS NOT NULL`, string(ids))
	return collect(rows, err, "kept estimates", func(scan func(...any) error) (storage.SavedEstimate, error) {
		var e storage.SavedEstimate
		var computed int64
		err := scan(&e.SiteID, &e.Key, &e.Board, &computed)
		e.ComputedAt = storage.MicroTime(computed)
		return e, err
	})
}
