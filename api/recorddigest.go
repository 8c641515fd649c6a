package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"time"

	"mastworth/api/chart"
	"mastworth/api/document"
	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/storage"
)

// recordDigest is what a record's page and charts show that takes the whole record to work out. What is in it is shared and must
// not be changed.
type recordDigest struct {
	statistics *openapi.RecordStatistics // by the methods of today; nil where those that are stored are
	pictures   page.RecordPictures
	charts     map[string]chart.Chart
}

// digestCache keeps digests by their key, the latest made for longest. One is some 200 kB, most of it drawings.
type digestCache struct {
	mu      sync.Mutex
	entries map[string]*recordDigest
	order   []string
}

const mostDigests = 48

func newDigestCache() *digestCache { return &digestCache{entries: map[string]*recordDigest{}} }

func (c *digestCache) get(key string) *recordDigest {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.entries[key]
}

func (c *digestCache) put(key string, d *recordDigest) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.entries[key] == nil {
		c.order = append(c.order, key)
	}
	c.entries[key] = d
	for len(c.order) > mostDigests {
		delete(c.entries, c.order[0])
		c.order = c.order[1:]
	}
}

// digestPatience is how long a page waits for a digest that is not at hand before it is shown without.
const digestPatience = 25 * time.Millisecond

// digest is a record's, by the channel named and told in a visitor's units. It waits for as long as patience allows, 0 for however long it takes; nil and no error
// if that was not enough: the work goes on, and whoever comes later finds it done.
func (s *service) digest(ctx context.Context, rec *storage.Record, channel string, u page.Units, patience time.Duration) (*recordDigest, error) {
	key := hashTag("digest", document.Methods, rec.ID, rec.ContentHash, channel, u.Word())
	if have := s.digests.get(key); have != nil {
		return have, nil
	}
	var late <-chan struct{}
	if patience > 0 {
		waiting, stop := context.WithTimeout(context.Background(), patience)
		defer stop()
		late = waiting.Done()
	}
	d, err := share(ctx, &s.shared, key, late, func(ctx context.Context) (*recordDigest, error) {
		done, err := s.begin(ctx)
		if err != nil {
			return nil, err
		}
		defer done()
		series, err := s.series(ctx, rec.ID)
		if err != nil {
			return nil, stored(err)
		}
		d, err := newRecordDigest(rec, series, channel, u)
		if err == nil {
			s.digests.put(key, d)
		}
		return d, err
	})
	if errors.Is(err, errLate) {
		return nil, nil //nolint:nilnil // said above
	}
	return d, err
}

// Sizes of the drawings on a record's page, px.
const (
	halfWidth, halfHeight = 340, 320
	wideWidth, wideHeight = 720, 420
)

// newRecordDigest looks at a screened series by one of its speed channels, if it has any.
func newRecordDigest(rec *storage.Record, series *resource.Series, channel string, u page.Units) (*recordDigest, error) {
	d := &recordDigest{charts: map[string]chart.Chart{}}
	if err := d.renewStatistics(rec, series); err != nil {
		return nil, err
	}
	at := speedChannel(series, channel)
	if at < 0 {
		return d, nil
	}
	p := &d.pictures
	p.Bins = speedBins(series, at, u)
	base, query := "/records/"+rec.ID+"/charts/", page.RecordQuery(channel, u)
	var err error
	draw := func(into **page.RecordChart, c chart.Chart, query string, width, height int) {
		d.charts[c.Name] = c
		if err == nil {
			*into, err = page.DrawRecordChart(c, base, query, width, height)
		}
	}
	if series.Kind != resource.TypicalYear { // its stamps are nobody's calendar
		years := coverageOf(series, at)
		draw(&p.Coverage, chart.CoverageCalendar(years), query, wideWidth, min(max(180, 110+28*len(years.Shares)), 1200))
	}
	climate, errClimate := document.ClimateInClasses(series, at, resource.SectorCount, page.RoseClasses(u))
	if errClimate != nil {
		p.ClimateMissing = errClimate.Error()
	} else {
		p.Climate = &climate
		draw(&p.Rose, page.RoseChart(&climate, u), query, halfWidth, halfWidth+20)
		draw(&p.MonthHour, page.MonthHourChart(&climate, u), query, wideWidth, wideHeight)
	}
	table, errShear := resource.MeasuredShear(series, resource.SectorCount)
	if errShear != nil {
		p.ShearMissing = errShear.Error()
		return d, err
	}
	p.Shear = shearOf(&table)
	draw(&p.TwoHeights, twoHeights(series, &table, u), u.Query(), halfWidth, halfHeight)
	return d, err
}

// renewStatistics screens and describes a record anew where an earlier version of the methods did it.
func (d *recordDigest) renewStatistics(rec *storage.Record, series *resource.Series) error {
	var kept struct {
		Method string `json:"method"`
	}
	if err := json.Unmarshal(rec.Statistics, &kept); err != nil {
		return fmt.Errorf("the stored statistics of record %s: %w", rec.ID, err)
	}
	if kept.Method == document.Methods {
		return nil
	}
	own := series.WithOwnFlags()
	found, err := resource.ScreenWith(own, resource.ScreenOptions{})
	if err != nil {
		return err
	}
	statistics, err := document.FromStatistics(own, found)
	d.statistics = &statistics
	return err
}
