package api

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"mastworth/storage"
)

// crowdedRecords is a store that says of itself that its records are there so many times over.
type crowdedRecords struct {
	storage.Store
	times int
}

func (s crowdedRecords) Records(ctx context.Context, p storage.Page) ([]storage.Record, error) {
	all, err := s.Store.Records(ctx, p)
	var out []storage.Record
	for i := range s.times {
		for _, r := range all {
			r.ID = fmt.Sprintf("%s-%d", r.ID, i)
			out = append(out, r)
		}
	}
	return out[:min(len(out), p.Limit)], err
}

// A list to choose from that does not hold all there is says so, and how to come by the rest.
func TestChoicesTellOfOlderOnes(t *testing.T) {
	for times, older := range map[int]bool{choicesListed: false, choicesListed + 1: true, 3 * choicesListed: true} {
		store, _ := openStore(t)
		f := newFixture(t, func(o *Options) { o.Store = crowdedRecords{store, times} })
		f.upload(hourlyCSV(900), nil)
		id := f.savedSite(string(exampleJSON(t, "MeanWind")))
		f.do("POST", "/v1/sites/"+id+"/readings", []byte("time,energy_kwh\n2024-03,40\n2024-04,30\n"), asCSV...).want(http.StatusOK)
		guide := f.browse("GET", "/new", nil, nil).Body.String()
		if said := strings.Contains(guide, "The newest 200 are listed. An older one"); said != older {
			t.Errorf("%d records: the form says of older ones: %t", times, said)
		}
		harvest := f.browse("GET", "/sites/"+id+"/harvest", nil, nil).Body.String()
		if said := strings.Contains(harvest, "Of the newest 200 records. An older one"); said != older {
			t.Errorf("%d records: the harvest says of older ones: %t", times, said)
		}
		if list, _ := between(harvest, `name="record"`, "</select>"); strings.Count(list, "<option") != 1+choicesListed {
			t.Errorf("%d records: %s", times, list)
		}
	}
}
