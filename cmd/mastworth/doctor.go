package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"mastworth/storage"
)

// finding is what the doctor says of one thing.
type finding struct {
	fine bool
	what string
}

func doctorCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "doctor",
		Short: "Look at the set-up and say what to mend",
		Args:  noArgs,
	}
	file, given := configFlags(c)
	c.RunE = func(c *cobra.Command, _ []string) error {
		cfg, err := loadConfig(*file, s.env, given())
		if err != nil {
			return err
		}
		ctx, cancel := context.WithTimeout(c.Context(), 30*time.Second)
		defer cancel()
		bad := 0
		for _, f := range examine(ctx, &cfg) {
			mark := "fine  "
			if !f.fine {
				mark, bad = "mend  ", bad+1
			}
			if _, err := fmt.Fprintln(s.out, mark+f.what); err != nil {
				return err
			}
		}
		if bad > 0 {
			things := "things"
			if bad == 1 {
				things = "thing"
			}
			return fmt.Errorf("%d %s to mend", bad, things)
		}
		return nil
	}
	return c
}

// examine looks at everything a service needs.
func examine(ctx context.Context, cfg *config) []finding {
	var out []finding
	say := func(fine bool, format string, args ...any) {
		out = append(out, finding{fine, fmt.Sprintf(format, args...)})
	}
	if isPostgres(cfg.Database) || examineFile(cfg.Database, say) {
		examineDatabase(ctx, cfg, say)
	}
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", cfg.Listen)
	if err != nil {
		say(false, "cannot listen on %s: %v (is the service running? then this is fine)", cfg.Listen, err)
	} else {
		err := listener.Close()
		say(err == nil, "can listen on %s", cfg.Listen)
	}
	if cfg.Fetch {
		err := writable(cfg.FetchCache)
		say(err == nil, "fetched data are kept in %s%s", cfg.FetchCache, because(err))
	}
	host, _, err := net.SplitHostPort(cfg.Listen)
	if err == nil && isLoopback(host) && cfg.Keys && cfg.TrustedProxies == "" {
		say(false, "with keys on this computer alone there is a proxy in front, as whose requests all others count: name it in trusted_proxies, such as 127.0.0.1")
	}
	return out
}

func because(err error) string {
	if err == nil {
		return ""
	}
	return ", but cannot be: " + err.Error()
}

// examineFile looks where a SQLite file is, or would be, and reports whether it is there.
func examineFile(database string, say func(bool, string, ...any)) bool {
	folder := filepath.Dir(database)
	if err := writable(folder); err != nil {
		say(false, "the folder of the database cannot be written: %v", err)
	}
	info, err := os.Stat(database)
	switch {
	case errors.Is(err, os.ErrNotExist):
		say(true, "there is no database %s yet; the service makes it", database)
		return false
	case err != nil:
		say(false, "the database: %v", err)
	case info.Mode().Perm()&0o007 != 0:
		say(false, "everybody on this computer may read %s: chmod o-rwx it", database)
	}
	return true
}

// examineDatabase opens a database and looks at what is in it.
func examineDatabase(ctx context.Context, cfg *config, say func(bool, string, ...any)) {
	store, err := openStore(ctx, cfg.Database)
	if err != nil {
		say(false, "the database %s does not open: %v", hidePassword(cfg.Database), err)
		return
	}
	examineStore(ctx, cfg, store, say)
	if err := store.Close(); err != nil {
		say(false, "the database does not close: %v", err)
	}
}

// examineStore looks at what is in a database.
func examineStore(ctx context.Context, cfg *config, store storage.Store, say func(bool, string, ...any)) {
	if err := store.Ping(ctx); err != nil {
		say(false, "the database does not answer: %v", err)
		return
	}
	say(true, "the database %s answers, and its tables are of this version", hidePassword(cfg.Database))
	if err := writableStore(ctx, store); err != nil {
		say(false, "%v", err)
	}
	if pg, is := store.(interface {
		PacksBlocks(ctx context.Context) (bool, error)
	}); is {
		if packs, err := pg.PacksBlocks(ctx); err == nil && packs { // a database that cannot tell has no such thing
			say(false, "the database compresses wind data once more, in vain, and imports take longer for it: let whoever owns its tables run "+
				"ALTER TABLE blocks ALTER COLUMN data SET STORAGE EXTERNAL")
		}
	}
	keys, err := store.Keys(ctx)
	switch {
	case err != nil:
		say(false, "the keys cannot be read: %v", err)
	case cfg.Keys && len(keys) == 0:
		say(false, "keys are asked for, but there is none: mastworth keys create --name NAME --scope admin")
	case !cfg.Keys && len(keys) > 0:
		say(false, "keys are made (%d), but nobody is asked for one: set keys", len(keys))
	}
	now := time.Now()
	for i := range keys {
		if !keys[i].Valid(now) {
			say(false, "the key %s of %s has ended: mastworth keys end %s", keys[i].ID, keys[i].Name, keys[i].ID)
		}
	}
}

// writable tries to write into a folder, making it if need be.
func writable(folder string) error {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(folder, ".mastworth-*")
	if err != nil {
		return err
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}
