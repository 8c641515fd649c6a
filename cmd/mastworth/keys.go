package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"mastworth/api"
	"mastworth/api/document"
	"mastworth/storage"
)

func keysCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "keys",
		Short: "Make, list and end the keys that open a service",
		Args:  noArgs,
		RunE:  func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(createKeyCommand(s), listKeysCommand(s), endKeyCommand(s))
	return c
}

// withStore runs a command on the store that the settings name, and that is there.
func withStore(c *cobra.Command, s streams, do func(ctx context.Context, store storage.Store, args []string) error) {
	withStoreOf(c, s, openMadeStore, do)
}

func withStoreOf(c *cobra.Command, s streams, open func(context.Context, string) (storage.Store, error),
	do func(ctx context.Context, store storage.Store, args []string) error,
) {
	file, given := configFlags(c)
	c.RunE = func(c *cobra.Command, args []string) (err error) {
		cfg, err := loadConfig(*file, s.env, given())
		if err != nil {
			return err
		}
		store, err := open(c.Context(), cfg.Database)
		if err != nil {
			return fmt.Errorf("database %s: %w", hidePassword(cfg.Database), err)
		}
		defer func() { err = errors.Join(err, store.Close()) }()
		return do(c.Context(), store, args)
	}
}

func createKeyCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "create",
		Short: "Make a key and print its secret, once",
		Long: "Make a key and print its secret, which is kept nowhere: what is lost is replaced by a new key. Send it to the\n" +
			"service as a bearer (Authorization: Bearer SECRET), or sign in with it in a browser at /signin.",
		Args: noArgs,
	}
	name := c.Flags().String("name", "", "whose it is, or what for")
	scope := c.Flags().String("scope", string(storage.ScopeRead), "what it opens: read, write (and read), admin (and keys)")
	days := c.Flags().Int("days", 0, "after how many days it ends; 0: never")
	withStoreOf(c, s, openStore, func(ctx context.Context, store storage.Store, _ []string) error { // the first key may come before the service
		if *name == "" || len(*name) > 100 {
			return usageError{errors.New("--name must say whose the key is, or what for, in at most 100 characters")}
		}
		switch storage.Scope(*scope) {
		case storage.ScopeRead, storage.ScopeWrite, storage.ScopeAdmin:
		default:
			return usageError{fmt.Errorf("--scope must be read, write or admin, not %q", *scope)}
		}
		if *days < 0 || *days > document.MostKeyDays {
			return usageError{fmt.Errorf("--days must be from 0 to %d, not %d", document.MostKeyDays, *days)}
		}
		secret := storage.NewSecret()
		k := storage.Key{ID: api.NewID(), Name: *name, Scope: storage.Scope(*scope), Hash: storage.HashSecret(secret), CreatedAt: time.Now().UTC().Truncate(time.Microsecond)}
		if *days > 0 {
			k.ExpiresAt = k.CreatedAt.AddDate(0, 0, *days)
		}
		if err := store.CreateKey(ctx, k); err != nil {
			return err
		}
		fmt.Fprintf(s.err, "key %s, %s, scope %s; its secret, shown this once:\n", k.ID, k.Name, k.Scope) //nolint:errcheck // nobody may be reading
		_, err := fmt.Fprintln(s.out, secret)
		return err
	})
	return c
}

func listKeysCommand(s streams) *cobra.Command {
	c := &cobra.Command{Use: "list", Short: "List the keys, without their secrets, which nobody has", Args: noArgs}
	withStore(c, s, func(ctx context.Context, store storage.Store, _ []string) error {
		all, err := store.Keys(ctx)
		if err != nil {
			return err
		}
		t := tabwriter.NewWriter(s.out, 0, 0, 2, ' ', 0)
		row := func(cells ...string) { fmt.Fprintln(t, strings.Join(cells, "\t")) } //nolint:errcheck // told by Flush
		row("id", "scope", "made", "ends", "name")
		for _, k := range all {
			ends := "never"
			if !k.ExpiresAt.IsZero() {
				ends = k.ExpiresAt.Format(time.DateOnly)
			}
			row(k.ID, string(k.Scope), k.CreatedAt.Format(time.DateOnly), ends, k.Name)
		}
		return t.Flush()
	})
	return c
}

func endKeyCommand(s streams) *cobra.Command {
	c := &cobra.Command{Use: "end ID", Short: "End a key, and the browser sessions that began with it", Args: oneArg("id of a key")}
	withStore(c, s, func(ctx context.Context, store storage.Store, args []string) error {
		err := store.DeleteKey(ctx, args[0])
		if errors.Is(err, storage.ErrNotFound) {
			return usageError{fmt.Errorf("there is no key %q; mastworth keys list has them", args[0])}
		}
		return err
	})
	return c
}
