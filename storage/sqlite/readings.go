package sqlite

import (
	"context"
	"database/sql"

	"mastworth/storage"
)

const readingColumns = "id, site_id, from_unix, at_unix, meter, kwh, created_us"

func scanReading(scan func(...any) error) (storage.Reading, error) {
	var r storage.Reading
	var meter int
	var created int64
	err := scan(&r.ID, &r.SiteID, &r.FromUnix, &r.AtUnix, &meter, &r.KWh, &created)
	r.Meter, r.CreatedAt = meter == 1, storage.MicroTime(created)
	return r, err
}

// AddReadings adds readings to a site, passing over those that are there already.
func (s *Store) AddReadings(ctx context.Context, siteID string, all []storage.Reading) (added int, err error) {
	err = s.inTransaction(ctx, "adding readings to site "+siteID, func(tx *sql.Tx) error {
		if err := hasRow(ctx, tx, "sites", siteID); err != nil {
			return err
		}
		insert, err := tx.PrepareContext(ctx, "INSERT INTO readings ("+readingColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT (site_id, at_unix, from_unix, meter, kwh) DO NOTHING`)
		if err != nil {
			return err
		}
		defer insert.Close() //nolint:errcheck // it ends with its transaction
		for i := range all {
			r := &all[i]
			done, err := insert.ExecContext(ctx, r.ID, siteID, r.FromUnix, r.AtUnix, r.Meter, r.KWh, storage.Micros(r.CreatedAt))
			if err != nil {
				return err
			}
			n, err := done.RowsAffected()
			if err != nil {
				return err
			}
			added += int(n)
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	return added, nil
}

// Readings lists a site's readings by rising time.
func (s *Store) Readings(ctx context.Context, siteID string) ([]storage.Reading, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT "+readingColumns+" FROM readings WHERE site_id = ? ORDER BY at_unix, from_unix, id", siteID)
	return collect(rows, err, "readings", scanReading)
}

// DeleteReading deletes one of a site's readings.
func (s *Store) DeleteReading(ctx context.Context, siteID, id string) error {
	return s.inTransaction(ctx, "deleting reading "+id, func(tx *sql.Tx) error {
		return affectsOne(tx.ExecContext(ctx, "DELETE FROM readings WHERE site_id = ? AND id = ?", siteID, id))
	})
}
