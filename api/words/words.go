// Package words is the one catalogue of all that pages and pictures say. Another language is another file like en.yaml.
package words

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"

	"github.com/goccy/go-yaml"
)

//go:embed en.yaml
var english []byte

// Raw is the catalogue as it is written.
func Raw() []byte { return english }

// All are the words by key; nobody may change them. They are read when the first is wanted: that takes longer than all else a start does.
var All = sync.OnceValue(func() map[string]string {
	all := map[string]string{}
	if err := yaml.Unmarshal(english, &all); err != nil {
		panic("words: en.yaml: " + err.Error())
	}
	return all
})

// Find is the words for a key, with arguments filled in as fmt does. The error is that there are none.
func Find(key string, args ...any) (string, error) {
	found, ok := All()[key]
	switch {
	case !ok:
		return "", fmt.Errorf("the catalogue has no words for %q", key)
	case len(args) > 0:
		return fmt.Sprintf(found, args...), nil
	}
	return found, nil
}

// Text is Find for keys that are there; it panics where one is not.
func Text(key string, args ...any) string {
	found, err := Find(key, args...)
	if err != nil {
		panic("words: " + err.Error())
	}
	return found
}

// List is a text of words with spaces between them, such as the months.
func List(key string) []string { return strings.Fields(Text(key)) }
