package fetch

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"unicode"
)

// limited reads up to most bytes and then fails, where io.LimitReader would end as if that were all.
type limited struct {
	r    io.Reader
	left int64
}

func (l *limited) Read(p []byte) (int, error) {
	if l.left < 0 {
		return 0, errEndless
	}
	if int64(len(p)) > l.left+1 {
		p = p[:l.left+1]
	}
	n, err := l.r.Read(p)
	l.left -= int64(n)
	if l.left < 0 {
		return n, errEndless
	}
	return n, err
}

// readAll reads a body of at most most bytes, packed and unpacked alike. Files are kept packed and servers pack on the
// way, so there may be two layers of gzip. Memory is at most twice what has come in.
func readAll(r io.Reader, most int64) ([]byte, error) {
	const layers = 2
	body, err := io.ReadAll(&limited{r: r, left: most})
	for range layers {
		if err != nil || !bytes.HasPrefix(body, []byte("\x1f\x8b")) {
			return body, err
		}
		var z *gzip.Reader
		if z, err = gzip.NewReader(bytes.NewReader(body)); err != nil {
			return nil, fmt.Errorf("unpacking: %w", err)
		}
		if body, err = io.ReadAll(&limited{r: z, left: most}); err != nil {
			return nil, fmt.Errorf("unpacking: %w", err)
		}
	}
	return body, nil
}

// excerptRunes is how much of an answer is repeated in an error.
const excerptRunes = 200

// excerpt is the beginning of an error answer, fit for a terminal, a log or a page: the message of JSON, the title of a
// web page, else the text; one line, no control characters, no tags.
func excerpt(body []byte) string {
	body = body[:min(len(body), 64<<10)]
	s := strings.ToValidUTF8(string(body), " ")
	if m := message(body); m != "" {
		s = m
	} else if strings.HasPrefix(strings.TrimSpace(s), "<") {
		s = pageText(s)
	}
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsPrint(r), r == '<', r == '>':
			return -1
		}
		return r
	}, s)
	runes := []rune(strings.Join(strings.Fields(s), " "))
	if len(runes) > excerptRunes {
		return string(runes[:excerptRunes]) + " …"
	}
	return string(runes)
}

// message finds what a JSON error answer says, under the names that services use for it.
func message(body []byte) string {
	var m map[string]any
	if json.Unmarshal(body, &m) != nil {
		return ""
	}
	for _, name := range []string{"messages", "reason", "detail", "message", "errors", "error", "title", "header"} {
		switch v := m[name].(type) {
		case string:
			return v
		case []any:
			var parts []string
			for _, p := range v {
				parts = append(parts, fmt.Sprint(p))
			}
			if len(parts) > 0 {
				return strings.Join(parts, " ")
			}
		}
	}
	return ""
}

// pageText is a web page's title or, without one, its text.
func pageText(s string) string {
	lower := strings.ToLower(s)
	if len(lower) == len(s) { // some letters change their length with their case
		if i := strings.Index(lower, "<title>"); i >= 0 {
			if title, _, found := strings.Cut(s[i+len("<title>"):], "<"); found && strings.TrimSpace(title) != "" {
				return title
			}
		}
	}
	var b strings.Builder
	inTag := false
	for _, r := range s {
		switch {
		case r == '<':
			inTag = true
			b.WriteByte(' ')
		case r == '>':
			inTag = false
		case !inTag:
			b.WriteRune(r)
		}
	}
	return b.String()
}
