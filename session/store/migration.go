package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// errNewer is returned for a history that a newer version of the program has
// written.
var errNewer = errors.New("the history was written by a newer version: install that, or move history.db away and run history --rebuild")

// migrations returns the statements that lead from each version to the next:
// file NNNN_*.sql, the n-th in order, leads to version n.
func migrations() ([]string, error) {
	names, err := fs.Glob(migrationFiles, "migrations/*.sql") // sorted
	if err != nil {
		return nil, err
	}
	statements := make([]string, len(names))
	for i, name := range names {
		var number int
		if _, err := fmt.Sscanf(name, "migrations/%04d_", &number); err != nil || number != i+1 {
			return nil, fmt.Errorf("migration %s: want number %d", name, i+1)
		}
		data, err := migrationFiles.ReadFile(name)
		if err != nil {
			return nil, err
		}
		statements[i] = string(data)
	}
	return statements, nil
}

// migrate brings the database to a version, each step in a transaction of its
// own. Two programs may do so at once.
func migrate(ctx context.Context, db *sql.DB, to int) error {
	all, err := migrations()
	if err != nil {
		return err
	}
	for {
		at, err := version(ctx, db)
		if err != nil {
			return err
		}
		if at > len(all) {
			return errNewer
		}
		if at >= to {
			return nil
		}
		if err := step(ctx, db, at, all[at]); err != nil {
			return fmt.Errorf("history: migration %d: %w", at+1, err)
		}
	}
}

// step leads from version at to the next, unless another program has.
func step(ctx context.Context, db *sql.DB, at int, statements string) error {
	return inTransaction(ctx, db, func(tx *sql.Tx) error {
		var found int
		if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&found); err != nil || found != at {
			return err
		}
		if _, err := tx.ExecContext(ctx, statements); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", at+1))
		return err
	})
}

func version(ctx context.Context, db *sql.DB) (int, error) {
	var at int
	err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&at)
	return at, err
}

// inTransaction runs do and commits, or rolls back if it fails.
func inTransaction(ctx context.Context, db *sql.DB, do func(*sql.Tx) error) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	if err := do(tx); err != nil {
		_ = tx.Rollback() // SQLite may have done so by itself; err says why
		return err
	}
	return tx.Commit()
}
