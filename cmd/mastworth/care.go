package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"mastworth/storage"
	"mastworth/storage/sqlite"
)

const useDump = "a PostgreSQL database is copied with pg_dump and put back with pg_restore; see deploy/UPGRADE.md"

func isPostgres(database string) bool {
	return strings.HasPrefix(database, "postgres://") || strings.HasPrefix(database, "postgresql://")
}

func backupCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the SQLite database into a new file, while it is in use",
		Args:  oneArg("file to be written"),
	}
	file, given := configFlags(c)
	c.RunE = func(c *cobra.Command, args []string) (err error) {
		cfg, err := loadConfig(*file, s.env, given())
		if err != nil {
			return err
		}
		if isPostgres(cfg.Database) {
			return usageError{errors.New(useDump)}
		}
		if _, err := os.Stat(cfg.Database); err != nil {
			return err
		}
		store, err := sqlite.Open(c.Context(), cfg.Database)
		if err != nil {
			return fmt.Errorf("database %s: %w", cfg.Database, err)
		}
		defer func() { err = errors.Join(err, store.Close()) }()
		if err := store.Backup(c.Context(), args[0]); errors.Is(err, os.ErrExist) {
			return usageError{fmt.Errorf("%s is there already; name a new file", args[0])}
		} else if err != nil {
			return err
		}
		_, err = fmt.Fprintf(s.out, "%s holds what %s held\n", args[0], cfg.Database)
		return err
	}
	return c
}

func restoreCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "restore FILE",
		Short: "Put a backup in the place of the SQLite database; the service must not be running",
		Long: "Look through a backup and put it in the place of the database. What was there is kept beside it, with .before\n" +
			"at the end of its name. The service must not be running.",
		Args: oneArg("backup"),
	}
	file, given := configFlags(c)
	c.RunE = func(c *cobra.Command, args []string) error {
		cfg, err := loadConfig(*file, s.env, given())
		if err != nil {
			return err
		}
		if isPostgres(cfg.Database) {
			return usageError{errors.New(useDump)}
		}
		return restore(c.Context(), args[0], cfg.Database, s.out)
	}
	return c
}

// restore puts a backup in the place of the database, once it is looked through.
func restore(ctx context.Context, backup, database string, out io.Writer) error {
	before := database + ".before"
	if err := mayKeep(database, before); err != nil {
		return err
	}
	err := sqlite.Restore(ctx, backup, database, before, func(copied string) error {
		if err := sound(ctx, copied); err != nil {
			return fmt.Errorf("%s is not put in place: %w", backup, err)
		}
		return nil
	})
	if errors.Is(err, sqlite.ErrUsed) {
		return usageError{err}
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%s now holds what %s held\n", database, backup)
	return err
}

// mayKeep is an error where the name that the old database is to get is taken, but by that database itself: then a restore was cut off.
func mayKeep(database, before string) error {
	old, err := os.Stat(before)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if now, errNow := os.Stat(database); err == nil && errNow == nil && os.SameFile(old, now) {
		return nil
	}
	return usageError{fmt.Errorf("%s is there from an earlier restore; move it away first", before)}
}

// sound looks through a database and everything in it.
func sound(ctx context.Context, database string) (err error) {
	store, err := sqlite.Open(ctx, database)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	found, err := store.Check(ctx)
	if err != nil {
		return err
	}
	v, err := storage.Verify(ctx, store, nil)
	if err != nil {
		return err
	}
	for _, line := range found {
		v.Bad = append(v.Bad, errors.New(line))
	}
	return errors.Join(v.Bad...)
}

func verifyCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "verify",
		Short: "Look through the database: every block of every record against its checksum",
		Args:  noArgs,
	}
	withStore(c, s, func(ctx context.Context, store storage.Store, _ []string) error {
		told, done := countProgress(s.err, "looking through records")
		var progress func(int)
		if told != nil {
			progress = func(n int) { told(n, -1) } // how many there are is not known before
		}
		v, err := storage.Verify(ctx, store, progress)
		done()
		if err != nil {
			return err
		}
		if own, is := store.(*sqlite.Store); is {
			found, err := own.Check(ctx)
			if err != nil {
				return err
			}
			for _, line := range found {
				v.Bad = append(v.Bad, fmt.Errorf("the database: %s; put a backup back with mastworth restore", line))
			}
		}
		if _, err := fmt.Fprintf(s.out, "%d records with %d blocks and %d rows, %d sites: ", v.Records, v.Blocks, v.Rows, v.Sites); err != nil {
			return err
		}
		if len(v.Bad) == 0 {
			_, err = fmt.Fprintln(s.out, "all sound")
			return err
		}
		_, err = fmt.Fprintf(s.out, "%d damaged\n", len(v.Bad))
		return errors.Join(append(v.Bad, err)...)
	})
	return c
}
