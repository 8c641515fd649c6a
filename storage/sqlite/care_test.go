package sqlite

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"mastworth/storage"
	"mastworth/storage/storagetest"
)

// A bit that flips on the disk, a month that goes missing, a description that changes: each is found, and told of its record alone.
func TestVerifyFindsDamage(t *testing.T) {
	for what, damage := range map[string]string{
		"a flipped byte":         "UPDATE blocks SET data = CAST(substr(data, 1, 40) || x'00' || substr(data, 42) AS BLOB) WHERE record_id = 'a'",
		"a block cut short":      "UPDATE blocks SET data = substr(data, 1, length(data) - 9) WHERE record_id = 'a'",
		"a missing month":        "DELETE FROM blocks WHERE record_id = 'a' AND month = (SELECT min(month) FROM blocks WHERE record_id = 'a')",
		"another description":    "UPDATE records SET meta = (SELECT meta FROM records WHERE id = 'b') WHERE id = 'a'",
		"another hash":           "UPDATE records SET content_hash = 'abc' WHERE id = 'a'",
		"a block with other sum": "UPDATE blocks SET checksum = 'abc' WHERE record_id = 'a'",
	} {
		s := open(t, filepath.Join(t.TempDir(), "test.db"))
		storagetest.Fill(t, s)
		if _, err := s.write.Exec(damage); err != nil { //nolint:noctx // a test
			t.Fatal(err)
		}
		v, err := storage.Verify(t.Context(), s, nil)
		if err != nil || len(v.Bad) != 1 || !errors.Is(v.Bad[0], storage.ErrCorrupt) || !strings.Contains(v.Bad[0].Error(), "record a") {
			t.Errorf("%s: %v, %v", what, v.Bad, err)
		}
	}
}

// A backup holds what was in the database at one moment, while somebody writes.
func TestBackupWhileWriting(t *testing.T) {
	dir := t.TempDir()
	s := open(t, filepath.Join(dir, "test.db"))
	storagetest.Fill(t, s)
	stop, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
				if _, err := s.CreateSite(context.Background(), storage.Site{ID: storage.NewSecret()[:30], Request: []byte("{}")}); err != nil {
					t.Error(err)
					return
				}
			}
		}
	}()
	for i := range 3 {
		path := filepath.Join(dir, string(rune('a'+i))+".db")
		if err := s.Backup(t.Context(), path); err != nil {
			t.Fatal(err)
		}
		b := open(t, path)
		found, err := b.Check(t.Context())
		if err != nil || len(found) > 0 {
			t.Errorf("%v, %v", found, err)
		}
		if v, err := storage.Verify(t.Context(), b, nil); err != nil || v.Records != 2 || len(v.Bad) > 0 {
			t.Errorf("%+v, %v", v, err)
		}
		if err := s.Backup(t.Context(), path); !errors.Is(err, os.ErrExist) {
			t.Errorf("a backup that was there: %v", err)
		}
	}
	close(stop)
	<-done
	if err := s.Backup(t.Context(), filepath.Join(dir, "no", "such", "folder.db")); err == nil {
		t.Error("a backup into a folder that is not there")
	}
}
