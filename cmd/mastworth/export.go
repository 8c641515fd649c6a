package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"mastworth/api"
)

// exportMarker lists the files of an export, one a line, so that the next one can tell them from somebody else's.
const exportMarker = ".mastworth-export"

// exportUnfinished begins the name of the folder in which an export is made, beside the one that it is to replace.
const exportUnfinished = ".mastworth-export-"

const (
	exportFolderMode = 0o755 // a web server reads them
	exportFileMode   = 0o644
)

func exportCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "export DIR",
		Short: "Write the club's board and public sites as files, for a host that serves files only",
		Long: "Write what the club shows as files: index.html, board.json, feed.atom, and of each public site a page, a card and its numbers.\n" +
			"Links are relative, so the folder may lie anywhere. A DIR that an export wrote is replaced as a whole; one with anything else in\n" +
			"it is refused.",
		Args: oneArg("folder to be written"),
	}
	file, given := configFlags(c)
	address := c.Flags().String("at", "", "address where DIR will be served, such as https://club.example.org/wind; for the feed")
	c.RunE = func(c *cobra.Command, args []string) error {
		cfg, err := loadConfig(*file, s.env, given())
		if err != nil {
			return err
		}
		dir, err := realPath(args[0])
		if err != nil {
			return err
		}
		n, err := exportTo(c.Context(), cfg, dir, *address)
		if err != nil {
			return err
		}
		if err := sweep(filepath.Dir(dir), time.Now().Add(-24*time.Hour)); err != nil {
			fmt.Fprintf(s.err, "what an export left when it was killed cannot be removed: %v\n", err) //nolint:errcheck // nobody else to tell
		}
		if _, err = fmt.Fprintf(s.out, "%d files in %s\n", n, args[0]); err == nil && *address == "" {
			_, err = fmt.Fprintln(s.out, "Links in feed.atom are relative, which few readers of feeds follow: --at says where the folder will be served.")
		}
		return err
	}
	return c
}

// realPath is a folder's own place, whatever links lead to it, or the place it would have.
func realPath(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", fmt.Errorf("export: %w", err)
	}
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		return real, nil
	}
	return dir, nil
}

// exportTo writes the files into a folder beside dir, which takes dir's place once it is whole.
func exportTo(ctx context.Context, cfg config, dir, address string) (files int, err error) {
	if err := mayReplace(dir); err != nil {
		return 0, err
	}
	store, err := openMadeStore(ctx, cfg.Database)
	if err != nil {
		return 0, fmt.Errorf("database %s: %w", hidePassword(cfg.Database), err)
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	made, err := os.MkdirTemp(filepath.Dir(dir), exportUnfinished)
	if err != nil {
		return 0, fmt.Errorf("export: %w", err)
	}
	defer os.RemoveAll(made) //nolint:errcheck // it is gone already where all went well
	var names []string
	write := func(name string, body []byte) error {
		names = append(names, name)
		to := filepath.Join(made, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(to), exportFolderMode); err != nil {
			return fmt.Errorf("export: %w", err)
		}
		return os.WriteFile(to, body, exportFileMode)
	}
	options := api.Options{Store: store, Version: version, RecordCacheBytes: cfg.cacheBytes(), HeavyJobs: cfg.HeavyJobs, Club: cfg.club()}
	if err := api.Export(ctx, options, address, write); err != nil {
		return 0, fmt.Errorf("export: %w", err)
	}
	slices.Sort(names)
	files = len(names)
	if err := write(exportMarker, []byte(strings.Join(names, "\n")+"\n")); err != nil {
		return 0, err
	}
	if err := os.Chmod(made, exportFolderMode); err != nil {
		return 0, fmt.Errorf("export: %w", err)
	}
	return files, replace(dir, made)
}

// sweep removes what exports that were killed have left in a folder: what was begun before then, which is a day ago, since no export
// takes so long.
func sweep(folder string, since time.Time) error {
	entries, err := os.ReadDir(folder)
	for _, e := range entries {
		if !e.IsDir() || !strings.HasPrefix(e.Name(), exportUnfinished) {
			continue
		}
		if info, gone := e.Info(); gone == nil && info.ModTime().Before(since) {
			err = errors.Join(err, os.RemoveAll(filepath.Join(folder, e.Name())))
		}
	}
	return err
}

// mayReplace is an error unless dir is not there, empty, or an export with nothing else in it.
func mayReplace(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist) || err == nil && len(entries) == 0:
		return nil
	case err != nil:
		return err
	}
	list, err := os.ReadFile(filepath.Join(dir, exportMarker))
	if errors.Is(err, fs.ErrNotExist) {
		return usageError{fmt.Errorf("%s has files that no export wrote; name an empty folder, or one that is not there yet", dir)}
	}
	if err != nil {
		return err
	}
	ours := map[string]bool{exportMarker: true}
	for name := range strings.Lines(string(list)) {
		ours[strings.TrimSpace(name)] = true
	}
	return filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err == nil && !ours[filepath.ToSlash(name)] {
			return usageError{fmt.Errorf("%s has a file that no export wrote, %s; move it elsewhere, since the folder is replaced as a whole", dir, name)}
		}
		return err
	})
}

// replace puts a folder in another's place. Where that fails, the old one is put back.
func replace(dir, made string) error {
	old := made + ".old"
	err := os.Rename(dir, old)
	there := err == nil
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("export: %w", err)
	}
	if err := os.Rename(made, dir); err != nil {
		if there {
			err = errors.Join(err, os.Rename(old, dir))
		}
		return fmt.Errorf("export: %w", err)
	}
	if there {
		if err := os.RemoveAll(old); err != nil {
			return fmt.Errorf("export: the new files are in place, the old ones are left in %s: %w", old, err)
		}
	}
	return nil
}
