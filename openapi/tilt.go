package openapi

import (
	"encoding/json"
	"errors"
)

// Tilt is how far an array leans from the horizontal: a number of degrees, or the best there is.
type Tilt struct {
	Best bool
	Deg  float64 // where Best is false
}

// MarshalJSON writes "best" or the number.
func (t Tilt) MarshalJSON() ([]byte, error) {
	if t.Best {
		return []byte(`"best"`), nil
	}
	return json.Marshal(t.Deg)
}

// UnmarshalJSON reads "best" or a number.
func (t *Tilt) UnmarshalJSON(b []byte) error {
	if string(b) == `"best"` {
		*t = Tilt{Best: true}
		return nil
	}
	var deg float64
	if err := json.Unmarshal(b, &deg); err != nil {
		return errors.New(`must be a number of degrees or "best"`)
	}
	*t = Tilt{Deg: deg}
	return nil
}
