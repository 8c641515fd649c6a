package page

import (
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"sync"

	"mastworth/api/words"
)

// Content changes whenever templates, words or assets do: a part of the ETag of pages.
var Content = sync.OnceValue(func() string {
	h := sha256.New()
	_, _ = h.Write(words.Raw()) // a hash takes everything
	err := fs.WalkDir(files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := files.ReadFile(path)
		_, _ = h.Write(append([]byte(path+"\n"), body...))
		return err
	})
	if err != nil {
		panic("page: " + err.Error())
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
})
