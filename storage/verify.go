package storage

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"iter"
)

// Verified says what a look through a store found.
type Verified struct {
	Records, Blocks, Sites int
	Rows                   int64
	Bad                    []error // each names the record or site it is about
}

// Verify reads every block of every record and holds it against its checksum, its month, its record's rows and content hash; and looks
// whether every site can be read. progress, unless nil, is told after each record. The error is that of a store that does not answer;
// what is damaged is in Bad.
func Verify(ctx context.Context, s Store, progress func(records int)) (Verified, error) {
	var v Verified
	const pageSize = 100
	for after := ""; ; {
		page, err := s.Records(ctx, Page{After: after, Limit: pageSize})
		if err != nil {
			return v, err
		}
		for i := range page {
			if err := v.record(ctx, s, page[i].ID); err != nil {
				return v, err
			}
			if progress != nil {
				progress(v.Records)
			}
		}
		if len(page) < pageSize {
			break
		}
		after = page[len(page)-1].ID
	}
	for after := ""; ; {
		page, err := s.Sites(ctx, Page{After: after, Limit: pageSize})
		if err != nil {
			return v, err
		}
		v.Sites += len(page)
		if len(page) < pageSize {
			return v, nil
		}
		after = page[len(page)-1].ID
	}
}

// record looks through one.
func (v *Verified) record(ctx context.Context, s Store, id string) error {
	rec, err := s.Record(ctx, id)
	switch {
	case errors.Is(err, ErrNotFound): // deleted meanwhile
		return nil
	case errors.Is(err, ErrCorrupt):
		v.Records++
		v.bad(id, err)
		return nil
	case err != nil:
		return err
	}
	v.Records++
	hash := sha256.New()
	hash.Write(rec.Meta) //nolint:errcheck // a hash takes everything
	_, err = DecodeBlocks(rec.Meta, v.counted(s.Blocks(ctx, id), func(b Block) {
		hash.Write(b.Data) //nolint:errcheck // likewise
	}))
	switch {
	case errors.Is(err, ErrNotFound), ctx.Err() != nil:
		return ctx.Err()
	case errors.Is(err, ErrCorrupt):
		v.bad(id, err)
	case err != nil:
		return fmt.Errorf("record %s: %w", id, err)
	case hex.EncodeToString(hash.Sum(nil)) != rec.ContentHash:
		v.bad(id, fmt.Errorf("%w: its content hash is another", ErrCorrupt))
	}
	return nil
}

// bad notes a damaged record, with what mends it.
func (v *Verified) bad(id string, err error) {
	v.Bad = append(v.Bad, fmt.Errorf("record %s: %w; put a backup back, or delete the record and upload its file again", id, err))
}

func (v *Verified) counted(blocks iter.Seq2[Block, error], each func(Block)) iter.Seq2[Block, error] {
	return func(emit func(Block, error) bool) {
		for b, err := range blocks {
			if err == nil {
				v.Blocks++
				v.Rows += b.Rows
				each(b)
			}
			if !emit(b, err) {
				return
			}
		}
	}
}
