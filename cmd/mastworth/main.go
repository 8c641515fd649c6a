// Command mastworth estimates what a home-built wind turbine would make at a site, what its kWh cost, and what the same
// money in solar panels would do. It is a command and a service in one binary.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() { os.Exit(mainExit()) }

// mainExit runs the command line of this process and returns its exit code.
func mainExit() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr, env: os.LookupEnv})
}
