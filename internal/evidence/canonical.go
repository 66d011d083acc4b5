// Package evidence turns bytes into proofs. It knows nothing of the trade.
package evidence

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"

	"github.com/go-json-experiment/json/jsontext"
)

// Canonical gives the one form of a JSON text that is hashed and kept (RFC 8785): members sorted, no white space,
// numbers in their shortest form. A text with a duplicate member or invalid UTF-8 is an error.
func Canonical(text []byte) ([]byte, error) {
	value := jsontext.Value(append([]byte(nil), text...))
	if err := value.Canonicalize(); err != nil {
		return nil, err
	}
	return value, nil
}

// Salt is 32 random bytes that keep a committed value from being guessed.
func Salt() []byte {
	salt := make([]byte, 32)
	rand.Read(salt) // never fails: crypto/rand stops the program instead
	return salt
}

// Commit stands for a restricted value where the value itself must not be: "sha256:" and the hash of salt and value.
// With salt and value at hand anyone can check it; without them it says nothing.
func Commit(salt, value []byte) string {
	hash := sha256.New()
	hash.Write(salt)
	hash.Write(value)
	return "sha256:" + hex.EncodeToString(hash.Sum(nil))
}
