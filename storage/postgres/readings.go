package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"mastworth/storage"
)

const readingColumns = "id, site_id, from_unix, at_unix, meter, kwh, created_us"

func scanReading(row pgx.CollectableRow) (storage.Reading, error) {
	var r storage.Reading
	var meter int
	var created int64
	err := row.Scan(&r.ID, &r.SiteID, &r.FromUnix, &r.AtUnix, &meter, &r.KWh, &created)
	r.Meter, r.CreatedAt = meter == 1, storage.MicroTime(created)
	return r, err
}

// AddReadings adds readings to a site, passing over those that are there already.
func (s *Store) AddReadings(ctx context.Context, siteID string, all []storage.Reading) (added int, err error) {
	n := len(all)
	ids, froms, ats, meters, kwhs, created := make([]string, n), make([]int64, n), make([]int64, n), make([]int32, n), make([]float64, n), make([]int64, n)
	for i := range all {
		r := &all[i]
		ids[i], froms[i], ats[i], meters[i], kwhs[i], created[i] = r.ID, r.FromUnix, r.AtUnix, int32(truth(r.Meter)), r.KWh, storage.Micros(r.CreatedAt)
	}
	err = s.inTransaction(ctx, "adding readings to site "+siteID, func(ctx context.Context, tx pgx.Tx) error {
		if err := affectsOne(tx.Exec(ctx, "SELECT 1 FROM sites WHERE id = $1 FOR KEY SHARE", siteID)); err != nil {
			return err
		}
		done, err := tx.Exec(ctx, "INSERT INTO readings ("+readingColumns+`)
			SELECT id, $1, from_unix, at_unix, meter, kwh, created_us
			FROM unnest($2::text[], $3::bigint[], $4::bigint[], $5::int[], $6::double precision[], $7::bigint[])
			AS given (id, from_unix, at_unix, meter, kwh, created_us)
			ON CONFLICT (site_id, at_unix, from_unix, meter, kwh) DO NOTHING`, siteID, ids, froms, ats, meters, kwhs, created)
		added = int(done.RowsAffected())
		return err
	})
	if err != nil {
		return 0, err
	}
	return added, nil
}

// Readings lists a site's readings by rising time.
func (s *Store) Readings(ctx context.Context, siteID string) ([]storage.Reading, error) {
	asked := s.ask(ctx, "SELECT "+readingColumns+` FROM readings WHERE site_id = $1 ORDER BY at_unix, from_unix, id COLLATE "C"`, siteID)
	return all(asked, "readings", scanReading)
}

// DeleteReading deletes one of a site's readings.
func (s *Store) DeleteReading(ctx context.Context, siteID, id string) error {
	return s.inTransaction(ctx, "deleting reading "+id, func(ctx context.Context, tx pgx.Tx) error {
		return affectsOne(tx.Exec(ctx, "DELETE FROM readings WHERE site_id = $1 AND id = $2", siteID, id))
	})
}
