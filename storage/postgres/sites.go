package postgres

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"mastworth/storage"
)

const siteColumns = `id, name, COALESCE(record_id, ''), COALESCE(reference_id, ''), COALESCE(log_id, ''),
	COALESCE(curve_id, ''), request, version, created_us, updated_us,
	public, shown_as, show_costs, club_us`

func scanSite(row pgx.CollectableRow) (storage.Site, error) {
	var s storage.Site
	var created, updated, changed int64
	var public, costs int
	err := row.Scan(&s.ID, &s.Name, &s.RecordID, &s.ReferenceID, &s.LogID, &s.CurveID, &s.Request, &s.Version, &created, &updated,
		&public, &s.Club.ShownAs, &costs, &changed)
	s.CreatedAt, s.UpdatedAt = time.UnixMicro(created).UTC(), time.UnixMicro(updated).UTC()
	s.Club.Public, s.Club.ShowCosts, s.Club.ChangedAt = public == 1, costs == 1, storage.MicroTime(changed)
	return s, err
}

// holdRow is ErrNotFound where a site names a row of a table that is not there; otherwise the row cannot be deleted before
// the transaction ends.
func holdRow(ctx context.Context, tx pgx.Tx, table, id string) error {
	if id == "" {
		return nil
	}
	var there int
	if err := tx.QueryRow(ctx, "SELECT 1 FROM "+table+" WHERE id = $1 FOR KEY SHARE", id).Scan(&there); err != nil {
		return fmt.Errorf("%s of %s: %w", id, table, mapped(ctx, err))
	}
	return nil
}

// holdRows looks at all that a site names.
func holdRows(ctx context.Context, tx pgx.Tx, s *storage.Site) error {
	for _, id := range []string{s.RecordID, s.ReferenceID, s.LogID} {
		if err := holdRow(ctx, tx, "records", id); err != nil {
			return err
		}
	}
	return holdRow(ctx, tx, "curves", s.CurveID)
}

// CreateSite stores a new site.
func (s *Store) CreateSite(ctx context.Context, site storage.Site) (storage.Site, error) {
	site.Version = 1
	err := s.inTransaction(ctx, "storing site "+site.ID, func(ctx context.Context, tx pgx.Tx) error {
		if err := holdRows(ctx, tx, &site); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `INSERT INTO sites (id, name, record_id, reference_id, log_id, curve_id, request, version, created_us, updated_us,
			public, shown_as, show_costs, club_us)
			VALUES ($1, $2, NULLIF($3, ''), NULLIF($4, ''), NULLIF($5, ''), NULLIF($6, ''), $7, $8, $9, $10, $11, $12, $13, $14)`, site.ID, site.Name,
			site.RecordID, site.ReferenceID, site.LogID, site.CurveID, site.Request, site.Version,
			site.CreatedAt.UnixMicro(), site.UpdatedAt.UnixMicro(), truth(site.Club.Public), site.Club.ShownAs, truth(site.Club.ShowCosts),
			storage.Micros(site.Club.ChangedAt))
		return err
	})
	return site, err
}

// Site reads one site.
func (s *Store) Site(ctx context.Context, id string) (storage.Site, error) {
	asked := s.ask(ctx, "SELECT "+siteColumns+" FROM sites WHERE id = $1", id)
	return one(asked, "site "+id, scanSite)
}

// Sites lists sites, newest first.
func (s *Store) Sites(ctx context.Context, p storage.Page) ([]storage.Site, error) {
	asked := s.ask(ctx, "SELECT "+siteColumns+` FROM sites
		WHERE $1 = '' OR (created_us, id COLLATE "C") < (SELECT created_us, id COLLATE "C" FROM sites WHERE id = $1)
		ORDER BY created_us DESC, id COLLATE "C" DESC LIMIT $2`, p.After, p.Limit)
	return all(asked, "sites", scanSite)
}

// UpdateSite replaces a site while it still has the version given, and drops its estimate.
func (s *Store) UpdateSite(ctx context.Context, site storage.Site) (storage.Site, error) {
	err := s.inTransaction(ctx, "updating site "+site.ID, func(ctx context.Context, tx pgx.Tx) error {
		rows, err := tx.Query(ctx, "SELECT "+siteColumns+" FROM sites WHERE id = $1 FOR UPDATE", site.ID)
		if err != nil {
			return err
		}
		stored, err := pgx.CollectExactlyOneRow(rows, scanSite)
		if err != nil {
			return err
		}
		if site.Version != 0 && site.Version != stored.Version {
			return storage.ErrConflict
		}
		if err := holdRows(ctx, tx, &site); err != nil {
			return err
		}
		site.Version, site.CreatedAt, site.Club = stored.Version+1, stored.CreatedAt, stored.Club
		if _, err := tx.Exec(ctx, `UPDATE sites SET name = $1, record_id = NULLIF($2, ''), reference_id = NULLIF($3, ''),
			log_id = NULLIF($4, ''), curve_id = NULLIF($5, ''), request = $6, version = $7, updated_us = $8 WHERE id = $9`, site.Name,
			site.RecordID, site.ReferenceID, site.LogID, site.CurveID, site.Request, site.Version, site.UpdatedAt.UnixMicro(), site.ID); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, "DELETE FROM estimates WHERE site_id = $1", site.ID)
		return err
	})
	return site, err
}

// DeleteSite deletes a site and its estimate.
func (s *Store) DeleteSite(ctx context.Context, id string) error {
	return s.inTransaction(ctx, "deleting site "+id, func(ctx context.Context, tx pgx.Tx) error {
		return affectsOne(tx.Exec(ctx, "DELETE FROM sites WHERE id = $1", id))
	})
}

// SaveEstimate keeps an answer for a site.
func (s *Store) SaveEstimate(ctx context.Context, e storage.SavedEstimate) error {
	return s.inTransaction(ctx, "keeping the estimate of site "+e.SiteID, func(ctx context.Context, tx pgx.Tx) error {
		if err := affectsOne(tx.Exec(ctx, `INSERT INTO estimates (site_id, key, body)
			SELECT id, $2::text, $3::bytea FROM sites WHERE id = $1 AND ($4::bigint = 0 OR updated_us = $4) FOR SHARE
			ON CONFLICT (site_id) DO UPDATE SET key = excluded.key, body = excluded.body`, e.SiteID, e.Key, e.Body, storage.Micros(e.Of))); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `INSERT INTO boards (site_id, key, computed_us, board) VALUES ($1, $2, $3, $4)
			ON CONFLICT (site_id) DO UPDATE SET key = excluded.key, computed_us = excluded.computed_us, board = excluded.board`,
			e.SiteID, e.Key, storage.Micros(e.ComputedAt), e.Board)
		return err
	})
}

// Estimate returns the answer kept for a site.
func (s *Store) Estimate(ctx context.Context, siteID string) (storage.SavedEstimate, error) {
	asked := s.ask(ctx, `SELECT e.site_id, e.key, e.body, b.board, COALESCE(b.computed_us, 0)
		FROM estimates e LEFT JOIN boards b ON b.site_id = e.site_id WHERE e.site_id = $1`, siteID)
	return one(asked, "estimate of site "+siteID, func(row pgx.CollectableRow) (storage.SavedEstimate, error) {
		var e storage.SavedEstimate
		var computed int64
		err := row.Scan(&e.SiteID, &e.Key, &e.Body, &e.Board, &computed)
		e.ComputedAt = storage.MicroTime(computed)
		return e, err
	})
}

// oneStamp is asked for each site by itself, since its plan is then made once and kept: one of any number of sites is planned anew each
// time, which takes longer than the rest.
const oneStamp = `SELECT s.version, s.created_us, s.updated_us, COALESCE(e.key, '')
	FROM sites s LEFT JOIN estimates e ON e.site_id = s.id WHERE s.id = $1`

// EstimateStamps names the states of sites and of their kept answers, all in one round trip.
func (s *Store) EstimateStamps(ctx context.Context, siteIDs []string) (map[string]string, error) {
	p := patiently(ctx, patience)
	defer p.end()
	stamps := make(map[string]string, len(siteIDs))
	read := func(id string, row pgx.Row) error {
		var site storage.Site
		var created, updated int64
		var key string
		switch err := row.Scan(&site.Version, &created, &updated, &key); {
		case errors.Is(err, pgx.ErrNoRows):
			return nil
		case err != nil:
			return fmt.Errorf("postgres: state of site %s: %w", id, mapped(p, err))
		}
		site.CreatedAt, site.UpdatedAt = time.UnixMicro(created), time.UnixMicro(updated)
		stamps[id] = storage.EstimateStamp(&site, key)
		return nil
	}
	ids := slices.Compact(slices.Sorted(slices.Values(siteIDs)))
	if len(ids) == 1 {
		return stamps, read(ids[0], s.pool.QueryRow(p, oneStamp, ids[0]))
	}
	var batch pgx.Batch
	for _, id := range ids {
		batch.Queue(oneStamp, id).QueryRow(func(row pgx.Row) error { return read(id, row) })
	}
	if err := s.pool.SendBatch(p, &batch).Close(); err != nil {
		return nil, fmt.Errorf("postgres: states of sites: %w", mapped(p, err))
	}
	return stamps, nil
}

// Outcomes returns the answers kept for sites, without their bodies.
func (s *Store) Outcomes(ctx context.Context, siteIDs []string) ([]storage.SavedEstimate, error) {
	asked := s.ask(ctx, "SELECT site_id, key, board, computed_us FROM boards WHERE site_id = ANY($1) AND board IS NOT NULL", siteIDs)
	return all(asked, "kept estimates", func(row pgx.CollectableRow) (storage.SavedEstimate, error) {
		var e storage.SavedEstimate
		var computed int64
		err := row.Scan(&e.SiteID, &e.Key, &e.Board, &computed)
		e.ComputedAt = storage.MicroTime(computed)
		return e, err
	})
}
