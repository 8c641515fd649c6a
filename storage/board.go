package storage

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strconv"
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

// EstimateStamp names a site's state and the key of the estimate kept for it, empty for none.
func EstimateStamp(s *Site, key string) string {
	stamp := make([]byte, 0, 64+len(key))
	for _, n := range []int64{s.Version, Micros(s.CreatedAt), Micros(s.UpdatedAt)} {
		stamp = append(strconv.AppendInt(stamp, n, 36), ' ')
	}
	return string(append(stamp, key...))
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
