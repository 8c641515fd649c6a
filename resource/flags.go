package resource

import "slices"

// WithOwnFlags is the same record with flags of its own: screening it anew does not touch those of s. Everything else is
// shared and must not be changed.
func (s *Series) WithOwnFlags() *Series {
	own := *s
	own.Channels = slices.Clone(s.Channels)
	for i := range own.Channels {
		own.Channels[i].Flags = slices.Clone(own.Channels[i].Flags)
	}
	return &own
}

// Usual reports whether the options change nothing.
func (o ScreenOptions) Usual() bool { return len(o.Off) == 0 && len(o.Limits) == 0 }
