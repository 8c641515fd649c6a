package storage

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"strings"
	"time"
)

// Scope is what a key opens. Each has what the one before it has.
type Scope string

// The scopes.
const (
	ScopeRead  Scope = "read"
	ScopeWrite Scope = "write"
	ScopeAdmin Scope = "admin" // write, and keys
)

// Key opens a service to whoever has its secret, of which only a hash is kept.
type Key struct {
	ID        string
	Name      string // whose it is, or what for
	Scope     Scope
	Hash      []byte // SHA-256 of the secret; see HashSecret
	CreatedAt time.Time
	ExpiresAt time.Time // zero: never
}

// Valid reports whether a key opens anything at a time.
func (k *Key) Valid(now time.Time) bool { return k.ExpiresAt.IsZero() || now.Before(k.ExpiresAt) }

// secretPrefix makes a secret known for what it is, to people and to programs that look for secrets where none should be.
const secretPrefix = "mastworth_"

// NewSecret is a new key's secret, of 256 random bits.
func NewSecret() string {
	var b [32]byte
	_, _ = rand.Read(b[:]) // never fails: crypto/rand ends the process instead
	return secretPrefix + strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:]))
}

// HashSecret is what is kept of a secret. A plain hash is enough: 256 random bits cannot be guessed.
func HashSecret(secret string) []byte {
	h := sha256.Sum256([]byte(secret))
	return h[:]
}
