package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	"mastworth/storage"
)

const curveColumns = "id, name, source, content_hash, created_us, diameter_m, peak_w"

func scanCurve(scan func(...any) error) (storage.Curve, error) {
	var c storage.Curve
	var created int64
	err := scan(&c.ID, &c.Name, &c.Source, &c.ContentHash, &created, &c.DiameterM, &c.PeakW)
	c.CreatedAt = time.UnixMicro(created).UTC()
	return c, err
}

// CreateCurve stores a curve.
func (s *Store) CreateCurve(ctx context.Context, c storage.Curve) error {
	return s.inTransaction(ctx, "storing curve "+c.ID, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO curves ("+curveColumns+", turbine, machine) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
			c.ID, c.Name, c.Source, c.ContentHash, c.CreatedAt.UnixMicro(), c.DiameterM, c.PeakW, c.Turbine, c.Machine)
		return err
	})
}

// Curve reads one curve.
func (s *Store) Curve(ctx context.Context, id string) (storage.Curve, error) {
	var turbine, machine []byte
	c, err := scanCurve(func(into ...any) error {
		return s.read.QueryRowContext(ctx, "SELECT "+curveColumns+", turbine, machine FROM curves WHERE id = ?", id).
			Scan(append(into, &turbine, &machine)...)
	})
	c.Turbine, c.Machine = turbine, machine
	if err != nil {
		return c, fmt.Errorf("sqlite: curve %s: %w", id, mapped(err))
	}
	return c, nil
}

// Curves lists curves, newest first.
func (s *Store) Curves(ctx context.Context, p storage.Page) ([]storage.Curve, error) {
	rows, err := s.read.QueryContext(ctx, "SELECT "+curveColumns+` FROM curves
		WHERE ?1 = '' OR (created_us, id) < (SELECT created_us, id FROM curves WHERE id = ?1)
		ORDER BY created_us DESC, id DESC LIMIT ?2`, p.After, p.Limit)
	return collect(rows, err, "curves", scanCurve)
}

// DeleteCurve deletes a curve that no site uses.
func (s *Store) DeleteCurve(ctx context.Context, id string) error {
	return s.inTransaction(ctx, "deleting curve "+id, func(tx *sql.Tx) error {
		var used bool
		if err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM sites WHERE curve_id = ?)", id).Scan(&used); err != nil {
			return err
		}
		if used {
			return storage.ErrInUse
		}
		return affectsOne(tx.ExecContext(ctx, "DELETE FROM curves WHERE id = ?", id))
	})
}
