package storage

import (
	"encoding/json"
	"errors"
	"fmt"

	"github.com/paulmach/orb"

	"mastworth/resource"
)

// ErrCorrupt says that stored samples are not what was written.
var ErrCorrupt = errors.New("storage: the stored samples are damaged")

// meta is everything of a series but its samples, as JSON. A NaN is null.
type meta struct {
	Rows         int64         `json:"rows"` // of all blocks together
	StepS        int64         `json:"step_s"`
	UTCOffsetS   int64         `json:"utc_offset_s"`
	Kind         resource.Kind `json:"kind"`
	Place        *place        `json:"place,omitempty"`
	SourceFormat string        `json:"source_format"`
	Attribution  string        `json:"attribution,omitempty"`
	Channels     []channel     `json:"channels"`
}

type place struct {
	Longitude float64 `json:"longitude"`
	Latitude  float64 `json:"latitude"`
	Elevation number  `json:"elevation_m"`
}

type channel struct {
	Name     string `json:"name"`
	Quantity string `json:"quantity"`
	Height   number `json:"height_m"`
	Flagged  bool   `json:"flagged"` // whether the blocks have a column of flags
}

// number is a float that may be NaN, which JSON does not have.
type number float64

func (n number) MarshalJSON() ([]byte, error) {
	if n != n {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

func (n *number) UnmarshalJSON(b []byte) error {
	var v *float64
	if err := json.Unmarshal(b, &v); err != nil {
		return err
	}
	*n = number(nan)
	if v != nil {
		*n = number(*v)
	}
	return nil
}

// EncodeMeta writes everything of a series but its samples as JSON.
func EncodeMeta(s *resource.Series) ([]byte, error) {
	m := meta{Rows: int64(s.Len()), StepS: s.StepS, UTCOffsetS: s.UTCOffsetS, Kind: s.Kind, SourceFormat: s.SourceFormat, Attribution: s.Attribution,
		Channels: make([]channel, len(s.Channels))}
	if p := s.Place; p != nil {
		m.Place = &place{Longitude: p.Point.Lon(), Latitude: p.Point.Lat(), Elevation: number(p.ElevationM)}
	}
	for i := range s.Channels {
		c := &s.Channels[i]
		m.Channels[i] = channel{Name: c.Name, Quantity: c.Quantity.String(), Height: number(c.HeightM), Flagged: c.Flags != nil}
	}
	b, err := json.Marshal(m)
	if err != nil {
		return nil, fmt.Errorf("storage: describing a record: %w", err)
	}
	return b, nil
}

// DecodeMeta is the series that EncodeMeta described, without its samples; channels that have flags get an empty slice of
// them. Text that is no such description is ErrCorrupt.
func DecodeMeta(b []byte) (*resource.Series, error) {
	s, _, err := decodeMeta(b)
	return s, err
}

// decodeMeta also says how many rows the blocks hold together.
func decodeMeta(b []byte) (*resource.Series, int64, error) {
	var m meta
	if err := json.Unmarshal(b, &m); err != nil {
		return nil, 0, fmt.Errorf("%w: the description cannot be read: %w", ErrCorrupt, err)
	}
	s := &resource.Series{StepS: m.StepS, UTCOffsetS: m.UTCOffsetS, Kind: m.Kind, SourceFormat: m.SourceFormat,
		Attribution: m.Attribution, Channels: make([]resource.Channel, len(m.Channels))}
	if p := m.Place; p != nil {
		s.Place = &resource.Place{Point: orb.Point{p.Longitude, p.Latitude}, ElevationM: float64(p.Elevation)}
	}
	for i, c := range m.Channels {
		q, ok := resource.ParseQuantity(c.Quantity)
		if !ok {
			return nil, 0, fmt.Errorf("%w: %q is no quantity", ErrCorrupt, c.Quantity)
		}
		s.Channels[i] = resource.Channel{Name: c.Name, Quantity: q, HeightM: float64(c.Height)}
		if c.Flagged {
			s.Channels[i].Flags = []resource.Flag{}
		}
	}
	return s, m.Rows, nil
}
