package running

import (
	"bufio"
	"io"
	"strings"
	"sync"
)

// journal keeps what a service says that is not the usual: everything but the lines of level INFO, up to a number of lines.
type journal struct {
	mu      sync.Mutex
	unusual []string
}

const mostUnusual = 50

func (j *journal) read(r io.Reader) {
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		line := lines.Text()
		if strings.Contains(line, "level=INFO") || strings.Contains(line, `"level":"INFO"`) {
			continue
		}
		j.mu.Lock()
		if len(j.unusual) < mostUnusual {
			j.unusual = append(j.unusual, line)
		}
		j.mu.Unlock()
	}
}

func (j *journal) lines() []string {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.unusual
}
