package fetch

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// age gives every kept answer another date.
func (d *DiskCache) age(t *testing.T, at time.Time) {
	t.Helper()
	for _, path := range d.files(t) {
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		line, _, _ := bytes.Cut(raw, []byte{'\n'})
		_, key, _ := strings.Cut(string(line), `"key":"`)
		key, _, _ = strings.Cut(key, `"`)
		key = strings.ReplaceAll(key, `\u0026`, "&")
		a, err := d.Lookup(t.Context(), key)
		if err != nil {
			t.Fatal(err)
		}
		a.FetchedAt = at
		if err := d.Keep(t.Context(), key, a); err != nil {
			t.Fatal(err)
		}
	}
}

func (d *DiskCache) files(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(d.folder, "*"))
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func newDisk(t *testing.T) *DiskCache {
	t.Helper()
	d, err := NewDiskCache(filepath.Join(t.TempDir(), "deep", "cache"))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestDiskCacheKeepsWhatItIsGiven(t *testing.T) {
	d := newDisk(t)
	rapid.Check(t, func(rt *rapid.T) {
		key := rapid.StringN(0, 300, -1).Draw(rt, "key")
		key = strings.ToValidUTF8(key, "?")
		a := Answer{URL: "https://example.org/?a=1&b=<2>", Status: rapid.SampledFrom([]int{200, 404}).Draw(rt, "status"),
			FetchedAt: time.Unix(rapid.Int64Range(0, 4e9).Draw(rt, "at"), 0).UTC(), Body: rapid.SliceOf(rapid.Byte()).Draw(rt, "body")}
		if err := d.Keep(t.Context(), key, a); err != nil {
			rt.Fatal(err)
		}
		got, err := d.Lookup(t.Context(), key)
		if err != nil || got.URL != a.URL || got.Status != a.Status || !got.FetchedAt.Equal(a.FetchedAt) || !bytes.Equal(got.Body, a.Body) {
			rt.Fatalf("%+v, %v; want %+v", got, err, a)
		}
	})
	if _, err := d.Lookup(t.Context(), "never heard of"); !errors.Is(err, ErrNotCached) {
		t.Error(err)
	}
	for _, f := range d.files(t) {
		if info, err := os.Stat(f); err != nil || info.Mode().Perm() != 0o600 || !strings.HasSuffix(f, ".answer") {
			t.Errorf("%s: %v, %v", f, info.Mode(), err)
		}
	}
}

// Whatever byte of a kept answer changes, it is noticed.
func TestDiskCacheNoticesDamage(t *testing.T) {
	d := newDisk(t)
	if err := d.Keep(t.Context(), "key", Answer{URL: "https://example.org", Status: 200, FetchedAt: today, Body: []byte("YEAR,MO\n2024,1\n")}); err != nil {
		t.Fatal(err)
	}
	path := d.files(t)[0]
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	head := bytes.IndexByte(whole, '\n')
	for i := head + 1; i < len(whole); i++ {
		broken := slices.Clone(whole)
		broken[i] ^= 1
		if err := os.WriteFile(path, broken, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := d.Lookup(t.Context(), "key"); !errors.Is(err, ErrDamaged) {
			t.Errorf("byte %d changed: %v", i, err)
		}
		if err := os.WriteFile(path, whole[:i], 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := d.Lookup(t.Context(), "key"); !errors.Is(err, ErrDamaged) {
			t.Errorf("cut at %d: %v", i, err)
		}
	}
}

// A damaged answer is fetched anew, and said; a cache that cannot be written to costs a warning, not the record.
func TestTroubleWithTheCache(t *testing.T) {
	s := newStub(t, say(200, "text/csv", good()))
	d := newDisk(t)
	c, _ := newClient(t, s.URL, func(o *Options) { o.Cache = d })
	fetch := func(want ...string) {
		t.Helper()
		_, _, f, err := c.Fetch(t.Context(), inland, Years{2024, 2024}, Source{Archive: NASAPower})
		if got := codes(f.Warnings); err != nil || !slices.Equal(got, want) {
			t.Errorf("%v, warnings %v; want %v", err, f.Warnings, want)
		}
	}
	fetch("reanalysis_cell")
	if err := os.WriteFile(d.files(t)[0], []byte("rubbish"), 0o600); err != nil {
		t.Fatal(err)
	}
	fetch("cache_unreadable", "reanalysis_cell")
	fetch("reanalysis_cell")
	if s.count() != 2 {
		t.Errorf("asked %d times", s.count())
	}
	if err := os.RemoveAll(d.folder); err != nil {
		t.Fatal(err)
	}
	fetch("cache_unwritable", "reanalysis_cell")
	if _, err := NewDiskCache(""); err == nil {
		t.Error("a cache without a folder")
	}
}

// Two who want the same year at once ask for it once.
func TestAskedOnce(t *testing.T) {
	s := newStub(t, say(200, "text/csv", good()))
	c, _ := newClient(t, s.URL, withDisk(t))
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			if _, _, _, err := c.Fetch(context.Background(), inland, Years{2024, 2024}, Source{Archive: NASAPower}); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if s.count() != 1 {
		t.Errorf("asked %d times", s.count())
	}
}

// An answer that cannot be read is not kept, so that the next try gets another; and a kept one that cannot be read is
// fetched anew.
func TestOnlyGoodAnswersAreKept(t *testing.T) {
	bodies := [][]byte{bytes.TrimSuffix(good(), []byte(",6.75,6.75\n")), good()}
	n := 0
	s := newStub(t, func(w http.ResponseWriter, _ *http.Request) {
		_, _ = w.Write(bodies[min(n, 1)])
		n++
	})
	d := newDisk(t)
	c, _ := newClient(t, s.URL, func(o *Options) { o.Cache = d })
	if err := fetch1(t, c); !errors.Is(err, ErrNotData) || len(d.files(t)) != 0 {
		t.Fatalf("%v, kept %v", err, d.files(t))
	}
	if err := fetch1(t, c); err != nil || len(d.files(t)) != 1 {
		t.Fatalf("%v, kept %v", err, d.files(t))
	}
	a, err := archiveNamed(NASAPower)
	if err != nil {
		t.Fatal(err)
	}
	key := c.yearQuery(a, inland, "", 2024, Progress{}).key
	if err := d.Keep(t.Context(), key, Answer{Status: 200, FetchedAt: today, Body: bodies[0]}); err != nil {
		t.Fatal(err)
	}
	o, _ := newClient(t, s.URL, offline, func(o *Options) { o.Cache = d })
	if err := fetch1(t, o); !errors.Is(err, ErrOffline) || !strings.Contains(err.Error(), "middle of a row") {
		t.Error(err)
	}
	if err := fetch1(t, c); err != nil || n != 3 {
		t.Errorf("%v, asked %d times", err, n)
	}
}
