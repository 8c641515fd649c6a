package api

import (
	"container/list"
	"sync"

	"mastworth/resource"
)

// seriesCache keeps the most recently used records decoded and screened, up to a number of bytes. What it holds is shared
// and must not be changed.
type seriesCache struct {
	mu      sync.Mutex
	most    int64
	held    int64
	recent  *list.List // of *cachedSeries, the latest used first
	entries map[string]*list.Element
}

type cachedSeries struct {
	id     string
	series *resource.Series
	bytes  int64
}

func newSeriesCache(most int64) *seriesCache {
	return &seriesCache{most: most, recent: list.New(), entries: make(map[string]*list.Element)}
}

// get is the series of a record, or nil.
func (c *seriesCache) get(id string) *resource.Series {
	c.mu.Lock()
	defer c.mu.Unlock()
	e, ok := c.entries[id]
	if !ok {
		return nil
	}
	c.recent.MoveToFront(e)
	return e.Value.(*cachedSeries).series
}

// put keeps a series, unless it is larger than the whole cache.
func (c *seriesCache) put(id string, s *resource.Series) {
	n := sizeOf(s)
	c.mu.Lock()
	defer c.mu.Unlock()
	if n > c.most {
		return
	}
	c.remove(id)
	c.entries[id] = c.recent.PushFront(&cachedSeries{id: id, series: s, bytes: n})
	for c.held += n; c.held > c.most; {
		c.remove(c.recent.Back().Value.(*cachedSeries).id)
	}
}

// drop forgets a record.
func (c *seriesCache) drop(id string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.remove(id)
}

func (c *seriesCache) remove(id string) {
	e, ok := c.entries[id]
	if !ok {
		return
	}
	c.held -= e.Value.(*cachedSeries).bytes
	c.recent.Remove(e)
	delete(c.entries, id)
}

// sizeOf is about how much memory a series takes, bytes.
func sizeOf(s *resource.Series) int64 {
	n := int64(1024 + 8*len(s.Times))
	for i := range s.Channels {
		n += int64(8*len(s.Channels[i].Values) + 2*len(s.Channels[i].Flags) + 128)
	}
	return n
}
