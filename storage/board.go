package storage

import (
	"crypto/sha256"
	"encoding/hex"
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

// StampOf names the state of public sites by a text that has all of it.
func StampOf(states string) string {
	hash := sha256.Sum256([]byte(states))
	return hex.EncodeToString(hash[:16])
}
