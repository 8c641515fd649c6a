package api

import (
	"container/list"
	"sync"

	"mastworth/resource"
)

// cache keeps what was used most recently, up to a number of bytes. What it holds is shared and must not be changed.
type cache[V any] struct {
	mu      sync.Mutex
	most    int64
	held    int64
	size    func(V) int64 // of one, about
	recent  *list.List    // of *cached[V], the latest used first
	entries map[string]*list.Element
}

type cached[V any] struct {
	id    string
	value V
	bytes int64
}

func newCache[V any](most int64, size func(V) int64) *cache[V] {
	return &cache[V]{most: most, size: size, recent: list.New(), entries: make(map[string]*list.Element)}
}

// get is what is kept by an id, or the zero value.
func (c *cache[V]) get(id string) (v V) {
	c.mu.Lock()
	defer c.mu.Unlock()
	e, ok := c.entries[id]
	if !ok {
		return v
	}
	c.recent.MoveToFront(e)
	return e.Value.(*cached[V]).value
}

// put keeps a value in place of the one before, unless it is larger than the whole cache.
func (c *cache[V]) put(id string, v V) {
	n := c.size(v)
	c.mu.Lock()
	defer c.mu.Unlock()
	c.remove(id)
	if n > c.most {
		return
	}
	c.entries[id] = c.recent.PushFront(&cached[V]{id: id, value: v, bytes: n})
	for c.held += n; c.held > c.most; {
		c.remove(c.recent.Back().Value.(*cached[V]).id)
	}
}

// drop forgets one.
func (c *cache[V]) drop(id string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.remove(id)
}

func (c *cache[V]) remove(id string) {
	e, ok := c.entries[id]
	if !ok {
		return
	}
	c.held -= e.Value.(*cached[V]).bytes
	c.recent.Remove(e)
	delete(c.entries, id)
}

// seriesBytes is about how much memory a decoded record takes.
func seriesBytes(s *resource.Series) int64 {
	n := int64(1024 + 8*len(s.Times))
	for i := range s.Channels {
		n += int64(8*len(s.Channels[i].Values) + 2*len(s.Channels[i].Flags) + 128)
	}
	return n
}
