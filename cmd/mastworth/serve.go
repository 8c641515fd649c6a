package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/spf13/cobra"

	"mastworth/api"
	"mastworth/resource/fetch"
	"mastworth/storage"
	"mastworth/storage/postgres"
	"mastworth/storage/sqlite"
)

// How long the service waits for slow clients, and for work in hand when it is told to stop.
const (
	readHeaderTimeout = 10 * time.Second
	readTimeout       = 30 * time.Minute // a large record over a slow line
	writeTimeout      = 30 * time.Minute
	idleTimeout       = 2 * time.Minute
	shutdownTimeout   = 20 * time.Second
)

func serveCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "serve",
		Short: "Run the service",
		Long: "Run the service. Without a configuration it listens on this computer alone and keeps its data in one SQLite\n" +
			"file, mastworth.db, in the current folder.",
		Args: noArgs,
	}
	file, given := configFlags(c)
	demo := c.Flags().Bool("demo", false, "load an invented site, record and turbine into a database of its own, gone at the end")
	c.RunE = func(c *cobra.Command, _ []string) error {
		flags := given()
		cfg, err := loadConfig(*file, s.env, flags)
		if err != nil {
			return err
		}
		if *demo {
			if _, chosen := flags["database"]; chosen {
				return usageError{errors.New("--demo has a database of its own; leave --database out")}
			}
			dir, err := os.MkdirTemp("", "mastworth-demo-")
			if err != nil {
				return fmt.Errorf("demo: %w", err)
			}
			defer os.RemoveAll(dir) //nolint:errcheck // a temporary folder; the system clears it in the end
			cfg.Database = filepath.Join(dir, "demo.db")
		}
		return serve(c.Context(), cfg, *demo, s)
	}
	return c
}

// openStore opens the store a database setting names.
func openStore(ctx context.Context, database string) (storage.Store, error) {
	if isPostgres(database) {
		return postgres.Open(ctx, database)
	}
	return sqlite.Open(ctx, database)
}

// openMadeStore opens a store that must be there already: a mistyped name would make an empty database, of which all is well.
func openMadeStore(ctx context.Context, database string) (storage.Store, error) {
	if !isPostgres(database) {
		if _, err := os.Stat(database); errors.Is(err, os.ErrNotExist) {
			return nil, usageError{errors.New("it is not there; say where it is with --database, or start in its folder")}
		}
	}
	return openStore(ctx, database)
}

// writableStore is an error where a database that opens may only be read. SQLite's does not open then.
func writableStore(ctx context.Context, store storage.Store) error {
	if pg, is := store.(*postgres.Store); is {
		return pg.Writable(ctx)
	}
	return nil
}

// serve runs the service until ctx is done, then lets work in hand finish.
func serve(ctx context.Context, cfg config, demo bool, s streams) (err error) {
	defer runtime.KeepAlive(calmCollector())
	logger := newLogger(cfg.LogFormat, s.err)
	tracer, endTraces, err := newTracer(ctx, cfg.TraceEndpoint, logger)
	if err != nil {
		return err
	}
	defer endTraces()
	store, err := openStore(ctx, cfg.Database)
	if err != nil {
		return fmt.Errorf("database %s: %w", hidePassword(cfg.Database), err)
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	if err := writableStore(ctx, store); err != nil {
		logger.Warn("nothing can be kept, only read", "error", err)
	}

	var fetcher *fetch.Client
	if cfg.Fetch {
		if fetcher, err = newFetchClient(cfg.FetchCache, cfg.FetchMirror, false, nil); err != nil {
			return err
		}
	}
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", cfg.Listen)
	if err != nil {
		return fmt.Errorf("cannot listen on %s (is another one running? choose another --listen): %w", cfg.Listen, err)
	}
	base := "http://" + listener.Addr().String()
	fmt.Fprintf(s.out, "Mastworth %s listens on %s\n", version, base) //nolint:errcheck // nobody may be reading
	server := &http.Server{
		Handler: api.New(api.Options{
			Store: store, Logger: logger, Tracer: tracer, Version: version, MaxUploadBytes: int64(cfg.MaxUploadMB) << 20,
			RecordCacheBytes: cfg.cacheBytes(), HeavyJobs: cfg.HeavyJobs, Fetch: fetcher, Access: cfg.access(), Club: cfg.club(),
		}),
		ReadHeaderTimeout: readHeaderTimeout,
		ReadTimeout:       readTimeout,
		WriteTimeout:      writeTimeout,
		IdleTimeout:       idleTimeout,
		ErrorLog:          slog.NewLogLogger(logger.Handler(), slog.LevelWarn),
	}
	ready := func() error { return nil }
	if demo {
		ready = func() error { return loadDemo(ctx, base, s.out) }
	}
	return serveUntil(ctx, server, listener, ready)
}

// serveUntil serves until ctx is done, then closes the door and waits for the requests inside, at most shutdownTimeout.
// ready runs once the door is open; its error ends the service.
func serveUntil(ctx context.Context, server *http.Server, listener net.Listener, ready func() error) error {
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	if err := ready(); err != nil && ctx.Err() == nil {
		return errors.Join(err, server.Close())
	}
	select {
	case err := <-failed:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTimeout)
	defer cancel()
	if err := server.Shutdown(grace); err != nil {
		return errors.Join(fmt.Errorf("requests were still running after %s and were cut off: %w", shutdownTimeout, err), server.Close())
	}
	return nil
}
