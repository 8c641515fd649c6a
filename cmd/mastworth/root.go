package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"mastworth/api/document"
	"mastworth/resource/ingest"
	"mastworth/yield/assess"
)

// streams is where a command reads and writes, so that tests can stand in for a terminal.
type streams struct {
	in       io.Reader
	out, err io.Writer
	env      func(string) (string, bool)
}

// The exit codes.
const (
	exitFailed   = 1 // something outside the input went wrong
	exitBadInput = 2 // the input must be mended; stderr says where and how
)

// usageError is a command line that cannot be understood.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

// run executes one command line and returns the process's exit code.
func run(ctx context.Context, args []string, s streams) int {
	root := &cobra.Command{
		Use:           "mastworth",
		Short:         "Is this backyard worth a mast, how tall, and would the same money in solar do more?",
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.SetIn(s.in)
	root.SetOut(s.out)
	root.SetErr(s.err)
	root.SetArgs(args)
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.AddCommand(estimateCommand(s), inspectCommand(s), fetchCommand(s), sourcesCommand(s), curveCommand(s), balanceCommand(s), harvestCommand(s), serveCommand(s), exportCommand(s), keysCommand(s), backupCommand(s), restoreCommand(s), verifyCommand(s), doctorCommand(s), configCommand(s), versionCommand(s))
	err := root.ExecuteContext(ctx)
	if err == nil {
		return 0
	}
	fmt.Fprintf(s.err, "mastworth: %s\n", explain(err)) //nolint:errcheck // there is nowhere left to tell
	if isBadInput(err) {
		return exitBadInput
	}
	return exitFailed
}

// isBadInput reports whether mending the input would mend the error.
func isBadInput(err error) bool {
	var (
		usage   usageError
		invalid *assess.InvalidError
		doc     *document.Error
		read    *ingest.ReadError
		path    *os.PathError
	)
	return errors.As(err, &usage) || errors.As(err, &invalid) || errors.As(err, &doc) || errors.As(err, &read) ||
		errors.Is(err, ingest.ErrUnknownFormat) || errors.As(err, &path) || strings.HasPrefix(err.Error(), "unknown command")
}

// explain puts each fault on a line of its own, place first.
func explain(err error) string {
	var inv *assess.InvalidError
	var doc *document.Error
	var b strings.Builder
	switch {
	case errors.As(err, &inv):
		b.WriteString("the request cannot be estimated:")
		for _, f := range inv.Fields {
			fmt.Fprintf(&b, "\n  %s: %s", f.Location, f.Detail)
		}
	case errors.As(err, &doc):
		if doc.Malformed {
			b.WriteString("the document cannot be read:")
		} else {
			b.WriteString("the document wants mending:")
		}
		for _, f := range doc.Fields {
			fmt.Fprintf(&b, "\n  %s", f)
		}
	default:
		return err.Error()
	}
	return b.String()
}

// isTerminal reports whether w is a terminal that a progress bar may be drawn on.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
