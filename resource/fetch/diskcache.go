package fetch

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// DiskCache is a Cache in a folder: a file an answer, named by the key's digest, with a line of JSON before the body
// that holds the key, the origin and the body's checksum.
type DiskCache struct {
	folder  string
	most    int64
	writing sync.Mutex
}

// diskHead is the first line of a file.
type diskHead struct {
	Key       string    `json:"key"`
	URL       string    `json:"url"`
	Status    int       `json:"status"`
	FetchedAt time.Time `json:"fetched_at"`
	Bytes     int64     `json:"bytes"`
	SHA256    string    `json:"sha256"`
}

// mostCachedBytes bounds a file that is read back; answers are far smaller.
const mostCachedBytes = 1 << 30

// NewDiskCache makes the folder, readable to its owner alone, for it tells which places were asked about.
func NewDiskCache(folder string) (*DiskCache, error) {
	if folder == "" {
		return nil, errors.New("the cache needs a folder")
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, fmt.Errorf("making the cache's folder: %w", err)
	}
	return &DiskCache{folder: folder, most: mostCachedBytes}, nil
}

func (d *DiskCache) path(key string) string {
	sum := sha256.Sum256([]byte(key))
	return filepath.Join(d.folder, hex.EncodeToString(sum[:])+".answer")
}

// Lookup reads an answer and holds it against its checksum.
func (d *DiskCache) Lookup(_ context.Context, key string) (Answer, error) {
	path := d.path(key)
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return Answer{}, ErrNotCached
	case err != nil:
		return Answer{}, fmt.Errorf("looking into the cache: %w", err)
	case info.Size() > d.most:
		return Answer{}, fmt.Errorf("%w: %s has %d bytes", ErrDamaged, filepath.Base(path), info.Size())
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		return Answer{}, fmt.Errorf("reading the cache: %w", err)
	}
	line, body, found := bytes.Cut(raw, []byte{'\n'})
	var head diskHead
	if !found || json.Unmarshal(line, &head) != nil || head.Key != key || head.Bytes != int64(len(body)) || head.SHA256 != checksum(body) {
		return Answer{}, fmt.Errorf("%w: %s", ErrDamaged, filepath.Base(path))
	}
	return Answer{URL: head.URL, Status: head.Status, FetchedAt: head.FetchedAt, Body: body}, nil
}

// Keep writes beside the place and renames, so that nobody ever sees half an answer.
func (d *DiskCache) Keep(_ context.Context, key string, a Answer) (err error) {
	line, err := json.Marshal(diskHead{Key: key, URL: a.URL, Status: a.Status, FetchedAt: a.FetchedAt.UTC(), Bytes: int64(len(a.Body)), SHA256: checksum(a.Body)})
	if err != nil {
		return fmt.Errorf("writing to the cache: %w", err)
	}
	// The name beside it is the key's own, so that what is cut off here leaves no more than one file, which the next one writes over. Two
	// programs that do so at once give an answer that Lookup finds damaged.
	d.writing.Lock()
	defer d.writing.Unlock()
	path := d.path(key)
	f, err := os.OpenFile(path+".coming", os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return fmt.Errorf("writing to the cache: %w", err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(fmt.Errorf("writing to the cache: %w", err), os.Remove(f.Name()))
		}
	}()
	w := bufio.NewWriter(f)
	for _, part := range [][]byte{line, {'\n'}, a.Body} {
		if _, err := w.Write(part); err != nil {
			return errors.Join(err, f.Close())
		}
	}
	if err := errors.Join(w.Flush(), f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

func checksum(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}
