package main

import (
	"io"

	"github.com/schollz/progressbar/v3"
)

// smallestWithBar is the size in bytes from which a file is worth a progress bar.
const smallestWithBar = 4 << 20

// progress draws how far a file of a known size has been read, on a terminal only. done clears the bar.
func progress(w io.Writer, size int64, what string) (read func(total int64), done func()) {
	if size < smallestWithBar || !isTerminal(w) {
		return nil, func() {}
	}
	bar := progressbar.NewOptions64(size,
		progressbar.OptionSetWriter(w),
		progressbar.OptionSetDescription(what),
		progressbar.OptionShowBytes(true),
		progressbar.OptionClearOnFinish(),
	)
	// A bar that cannot be drawn must not stop the reading.
	return func(total int64) { _ = bar.Set64(total) }, func() { _ = bar.Finish() }
}

// countProgress draws how many of a number of things are done, on a terminal only.
func countProgress(w io.Writer, what string) (told func(done, total int), done func()) {
	if !isTerminal(w) {
		return nil, func() {}
	}
	var bar *progressbar.ProgressBar
	return func(n, total int) {
			if bar == nil {
				bar = progressbar.NewOptions(total, progressbar.OptionSetWriter(w), progressbar.OptionSetDescription(what),
					progressbar.OptionClearOnFinish())
			}
			_ = bar.Set(n)
		}, func() {
			if bar != nil {
				_ = bar.Finish()
			}
		}
}
