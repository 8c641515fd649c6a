package openapi

import (
	"bytes"
	"encoding/json"
)

// Towers are the masts that could be bought: a list of them, or a rule.
type Towers struct {
	List []Tower
	Rule *TowerRule // nil for a list
}

// MarshalJSON writes the rule or the list.
func (t Towers) MarshalJSON() ([]byte, error) {
	if t.Rule != nil {
		return json.Marshal(t.Rule)
	}
	return json.Marshal(t.List)
}

// UnmarshalJSON reads a list or a rule.
func (t *Towers) UnmarshalJSON(b []byte) error {
	*t = Towers{}
	if bytes.HasPrefix(bytes.TrimSpace(b), []byte{'{'}) {
		t.Rule = new(TowerRule)
		return json.Unmarshal(b, t.Rule)
	}
	return json.Unmarshal(b, &t.List)
}
