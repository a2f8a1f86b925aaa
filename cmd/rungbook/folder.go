package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"

	"rungbook/internal/fault"
	"rungbook/internal/store"
)

// dataFolder returns the folder given, or one of that name under the user's data
// directory.
func dataFolder(given, name string) (string, error) {
	if given != "" {
		return filepath.Abs(given)
	}
	if base := os.Getenv("XDG_DATA_HOME"); base != "" {
		return filepath.Join(base, name), nil
	}
	if runtime.GOOS == "linux" {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", fault.New(fault.Unusable, "no home folder is known; give --data DIR")
		}
		return filepath.Join(home, ".local", "share", name), nil
	}
	base, err := os.UserConfigDir()
	if err != nil {
		return "", fault.New(fault.Unusable, "no data folder is known; give --data DIR")
	}
	return filepath.Join(base, name), nil
}

// withStore opens a store for the time of use, and tells when it can't be closed.
func withStore(ctx context.Context, o store.Options, use func(*store.Store) error) error {
	st, err := store.Open(ctx, o)
	if err != nil {
		return err
	}
	return errors.Join(use(st), st.Close())
}
