package decide

import "fmt"

// Fault says which part of what was given cannot be, and why.
type Fault struct {
	Field  string // in snake_case, such as "speed_sd" or "campaigns[1].cost"
	Reason string // with the remedy
}

func (f *Fault) Error() string { return "decision, " + f.Field + ": " + f.Reason }

func faultf(field, format string, args ...any) error {
	return &Fault{Field: field, Reason: fmt.Sprintf(format, args...)}
}
