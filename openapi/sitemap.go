package openapi

import "errors"

// SiteMap is a GeoJSON feature collection as it was written, in JSON.
type SiteMap []byte

// MarshalJSON writes the collection as it is, and null where there is none.
func (m SiteMap) MarshalJSON() ([]byte, error) {
	if m == nil {
		return []byte("null"), nil
	}
	return m, nil
}

// UnmarshalJSON keeps a copy of the text.
func (m *SiteMap) UnmarshalJSON(b []byte) error {
	if len(b) == 0 || b[0] != '{' {
		return errors.New("must be a GeoJSON feature collection")
	}
	*m = append((*m)[:0], b...)
	return nil
}
