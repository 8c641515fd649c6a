package storage

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"
)

// Micros is a time as both databases keep it, microseconds since 1970; 0 for the zero time.
func Micros(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMicro()
}

// MicroTime undoes Micros.
func MicroTime(micros int64) time.Time {
	if micros == 0 {
		return time.Time{}
	}
	return time.UnixMicro(micros).UTC()
}

// SiteState is what of a public site goes into the stamp of the board.
type SiteState struct {
	ID         string
	Version    int64
	ChangedUs  int64
	Key        string // of the kept estimate; empty for none
	ComputedUs int64
}

// StampOf names the state of public sites, by ID.
func StampOf(all []SiteState) string {
	h := sha256.New()
	for _, s := range all {
		fmt.Fprintf(h, "%q %d %d %q %d\n", s.ID, s.Version, s.ChangedUs, s.Key, s.ComputedUs) //nolint:errcheck // a hash takes everything
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}
