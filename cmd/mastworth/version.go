package main

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// version is the release; a build may set it with -ldflags "-X main.version=…".
var version = "0.1.0"

// revision is the commit the binary was built from, as far as the Go tool recorded it.
func revision() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return s.Value[:12]
		}
	}
	return ""
}

func versionCommand(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version",
		Args:  noArgs,
		RunE: func(*cobra.Command, []string) error {
			line := "mastworth " + version
			if rev := revision(); rev != "" {
				line += " (" + rev + ")"
			}
			_, err := fmt.Fprintf(s.out, "%s %s %s/%s\n", line, runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return err
		},
	}
}

// noArgs and oneArg refuse other counts as bad input.
func noArgs(c *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usageError{fmt.Errorf("%s takes no argument, but got %q", c.Name(), args[0])}
	}
	return nil
}

func oneArg(what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) != 1 {
			return usageError{fmt.Errorf("%s takes one %s, but got %d; try mastworth %s --help", c.Name(), what, len(args), c.Name())}
		}
		return nil
	}
}
