package spread

import "fmt"

// Fault says what of a model, its sources or the options cannot be, and why.
type Fault struct {
	Source string // the name of the source; empty for the model and the options
	Field  string // in snake_case, such as "standard" or "heights[1].energy"
	Reason string // with the remedy
}

func (f *Fault) Error() string {
	if f.Source == "" {
		return fmt.Sprintf("uncertainty, %s: %s", f.Field, f.Reason)
	}
	return fmt.Sprintf("uncertainty of %s, %s: %s", f.Source, f.Field, f.Reason)
}

func faultf(source, field, format string, args ...any) error {
	return &Fault{Source: source, Field: field, Reason: fmt.Sprintf(format, args...)}
}
