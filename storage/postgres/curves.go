package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"mastworth/storage"
)

const curveColumns = "id, name, source, content_hash, created_us, diameter_m, peak_w"

func scanCurve(row pgx.CollectableRow) (storage.Curve, error) { return scanCurveInto(row) }

// scanCurveInto reads a curve's columns and whatever follows them.
func scanCurveInto(row pgx.CollectableRow, more ...any) (storage.Curve, error) {
	var c storage.Curve
	var created int64
	err := row.Scan(append([]any{&c.ID, &c.Name, &c.Source, &c.ContentHash, &created, &c.DiameterM, &c.PeakW}, more...)...)
	c.CreatedAt = time.UnixMicro(created).UTC()
	return c, err
}

// CreateCurve stores a curve.
func (s *Store) CreateCurve(ctx context.Context, c storage.Curve) error {
	return s.inTransaction(ctx, "storing curve "+c.ID, func(ctx context.Context, tx pgx.Tx) error {
		_, err := tx.Exec(ctx, "INSERT INTO curves ("+curveColumns+", turbine, machine) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
			c.ID, c.Name, c.Source, c.ContentHash, c.CreatedAt.UnixMicro(), c.DiameterM, c.PeakW, c.Turbine, c.Machine)
		return err
	})
}

// Curve reads one curve.
func (s *Store) Curve(ctx context.Context, id string) (storage.Curve, error) {
	asked := s.ask(ctx, "SELECT "+curveColumns+", turbine, machine FROM curves WHERE id = $1", id)
	return one(asked, "curve "+id, func(row pgx.CollectableRow) (storage.Curve, error) {
		var turbine, machine []byte
		c, err := scanCurveInto(row, &turbine, &machine)
		c.Turbine, c.Machine = turbine, machine
		return c, err
	})
}

// Curves lists curves, newest first.
func (s *Store) Curves(ctx context.Context, p storage.Page) ([]storage.Curve, error) {
	asked := s.ask(ctx, "SELECT "+curveColumns+` FROM curves
		WHERE $1 = '' OR (created_us, id COLLATE "C") < (SELECT created_us, id COLLATE "C" FROM curves WHERE id = $1)
		ORDER BY created_us DESC, id COLLATE "C" DESC LIMIT $2`, p.After, p.Limit)
	return all(asked, "curves", scanCurve)
}

// DeleteCurve deletes a curve that no site uses.
func (s *Store) DeleteCurve(ctx context.Context, id string) error {
	return s.inTransaction(ctx, "deleting curve "+id, func(ctx context.Context, tx pgx.Tx) error {
		return affectsOne(tx.Exec(ctx, "DELETE FROM curves WHERE id = $1", id))
	})
}
