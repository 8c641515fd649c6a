package sqlite

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
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
		if err != nil || len(v.Bad) != 1 || !errors.Is(v.Bad[0], storage.ErrCorrupt) || !strings.Contains(v.Bad[0].Error(), "record a") ||
			!strings.Contains(v.Bad[0].Error(), "upload its file again") {
			t.Errorf("%s: %v, %v", what, v.Bad, err)
		}
	}
}

// A new database, its log and a backup are for their owner alone, whatever the umask lets through; one that is there keeps its mode.
func TestFilesAreForTheirOwner(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no such modes")
	}
	dir := t.TempDir()
	path, backup := filepath.Join(dir, "test.db"), filepath.Join(dir, "backup.db")
	s := open(t, path)
	storagetest.Fill(t, s)
	if err := s.Backup(t.Context(), backup); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{path, path + "-wal", path + "-shm", backup} {
		if info, err := os.Stat(name); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", name, info, err)
		}
	}
	shared := filepath.Join(dir, "shared.db")
	if err := errors.Join(os.WriteFile(shared, nil, 0o640), os.Chmod(shared, 0o640)); err != nil {
		t.Fatal(err)
	}
	open(t, shared)
	if info, err := os.Stat(shared); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("%v, %v", info, err)
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

// A damaged block is told with the columns that are damaged in it.
func TestVerifyTellsColumn(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "test.db"))
	storagetest.Fill(t, s)
	var data []byte
	if err := s.read.QueryRow("SELECT data FROM blocks WHERE record_id = 'a' ORDER BY month LIMIT 1").Scan(&data); err != nil { //nolint:noctx // a test
		t.Fatal(err)
	}
	told := map[string]bool{}
	for at := range data {
		bad := bytes.Clone(data)
		bad[at] ^= 0x55
		err := storage.VerifyBlock(storage.Block{Month: "2020-01", Checksum: "of another", Data: bad})
		if err == nil {
			t.Fatal("damage that goes unnoticed")
		}
		if _, columns, ok := strings.Cut(err.Error(), "cannot be read in it: "); ok {
			told[columns] = true
		}
	}
	if !told["time"] || len(told) < 2 {
		t.Errorf("told are %v", told)
	}
}

// What a restore finds of one that was cut off, of a database in use, removed, damaged, or of a newer program.
func TestRestore(t *testing.T) {
	fresh := func(t *testing.T) (backup, path, before string) {
		dir := t.TempDir()
		backup, path = filepath.Join(dir, "backup.db"), filepath.Join(dir, "test.db")
		s := open(t, filepath.Join(dir, "other.db"))
		storagetest.Fill(t, s)
		fine(t, s.Backup(t.Context(), backup))
		return backup, path, path + ".before"
	}
	restore := func(backup, path, before string) error {
		return Restore(context.Background(), backup, path, before, func(string) error { return nil })
	}
	holds := func(t *testing.T, path string, records int) {
		t.Helper()
		s := open(t, path)
		defer s.Close() //nolint:errcheck // a test is over then
		if v, err := storage.Verify(t.Context(), s, nil); err != nil || v.Records != records || len(v.Bad) > 0 {
			t.Errorf("%s: %+v, %v", path, v, err)
		}
	}
	t.Run("cut off", func(t *testing.T) {
		backup, path, before := fresh(t)
		fine(t, open(t, path).Close())
		fine(t, os.Link(path, before))
		fine(t, os.WriteFile(path+".part", []byte("half"), 0o600))
		fine(t, os.WriteFile(path+".part-wal", []byte("a log of something else"), 0o600))
		fine(t, restore(backup, path, before))
		holds(t, path, 2)
		holds(t, before, 0)
	})
	t.Run("in use", func(t *testing.T) {
		backup, path, before := fresh(t)
		s := open(t, path)
		if _, err := s.Records(t.Context(), storage.Page{Limit: 1}); err != nil {
			t.Fatal(err)
		}
		if err := restore(backup, path, before); !errors.Is(err, ErrUsed) {
			t.Errorf("%v", err)
		}
		if _, err := os.Stat(path + ".part"); !errors.Is(err, os.ErrNotExist) {
			t.Error("a copy is left behind")
		}
	})
	t.Run("removed but for its log", func(t *testing.T) {
		backup, path, before := fresh(t)
		fine(t, os.WriteFile(path+"-wal", []byte("a log of what was removed"), 0o600))
		fine(t, restore(backup, path, before))
		holds(t, path, 2)
	})
	t.Run("damaged", func(t *testing.T) {
		backup, path, before := fresh(t)
		fine(t, os.WriteFile(path, bytes.Repeat([]byte("no database "), 1000), 0o600))
		fine(t, restore(backup, path, before))
		holds(t, path, 2)
	})
	t.Run("newer", func(t *testing.T) {
		backup, path, before := fresh(t)
		s := open(t, path)
		_, err := s.write.Exec("PRAGMA user_version = 9999") //nolint:noctx // a test
		fine(t, errors.Join(err, s.Close()))
		fine(t, restore(backup, path, before))
		holds(t, path, 2)
	})
}

func fine(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
