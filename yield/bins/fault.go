package bins

import "fmt"

// Fault says what of a log or its options cannot be, where, and what to do about it.
type Fault struct {
	Field  string // the name of the field of Log or Options in snake_case, such as "power_w" or "rotor_diameter_m"
	Row    int    // of the log, from 0; −1 for the whole
	Reason string // with the remedy
}

func (f *Fault) Error() string {
	if f.Row < 0 {
		return fmt.Sprintf("power test, %s: %s", f.Field, f.Reason)
	}
	return fmt.Sprintf("power test, row %d, %s: %s", f.Row+1, f.Field, f.Reason)
}

// ShiftError says that wind and power of a log do not belong together as they stand: their clocks differ.
type ShiftError struct {
	ShiftS                 int64   // by how much power's clock is ahead of wind's, s
	Correlation, Unshifted float64 // of the changes of wind and power, with the shift taken out and as the log stands
}

func (e *ShiftError) Error() string {
	way := "ahead of"
	s := e.ShiftS
	if s < 0 {
		way, s = "behind", -s
	}
	return fmt.Sprintf("power test: the clock of the power is %s %s that of the wind: their changes go together with a correlation of %.2f when "+
		"that is taken out, and of %.2f as the log stands. Set the clocks right in the log, or ask for the power to be moved by %d s",
		duration(s), way, e.Correlation, e.Unshifted, -e.ShiftS)
}

// duration is a length of time in words.
func duration(s int64) string {
	switch {
	case s%3600 == 0:
		return fmt.Sprintf("%d h", s/3600)
	case s%60 == 0:
		return fmt.Sprintf("%d min", s/60)
	default:
		return fmt.Sprintf("%d s", s)
	}
}
