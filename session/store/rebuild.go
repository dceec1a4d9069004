package store

import (
	"context"
	"database/sql"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"
)

// Rebuilding says how to compute the history again.
type Rebuilding struct {
	// Figures computes a take's figures from its file. It is called from
	// several goroutines.
	Figures func(ctx context.Context, path string) (TakeFigures, error)
	// Method names the version of that computation. A rebuild that was
	// interrupted goes on only under the same method.
	Method string
	// Progress, if not nil, is told how many of all takes are done. It is
	// called from the goroutine that called Rebuild.
	Progress func(done, of int)
}

// Rebuilt is what a rebuild did.
type Rebuilt struct {
	Takes    int      // in the history
	Resumed  int      // of them, computed before an interruption
	Failed   []error  // takes that could not be read, left out; by name
	Warnings []string // damage of the logbook, each naming the byte
}

// rebuildBatch takes are committed together, so that an interruption costs
// little and the disk is not asked for each.
const rebuildBatch = 64

// Rebuild computes everything again from the takes folder: figures from each
// take, labels and practice results from the logbook. The result has the same
// content as if all had been added one by one. Until it ends the history shows
// old figures beside new ones. If ctx is done it keeps what is computed, and
// the next call goes on from there.
func (h *History) Rebuild(ctx context.Context, how Rebuilding) (Rebuilt, error) {
	generation, err := h.startRebuild(ctx, how.Method)
	if err != nil {
		return Rebuilt{}, h.wrap("rebuild history", err)
	}
	todo, files, err := h.lacking(ctx, "generation = ?", generation)
	if err != nil {
		return Rebuilt{}, h.wrap("rebuild history", err)
	}
	failed, err := h.compute(ctx, how, todo, len(files))
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return Rebuilt{Failed: failed}, h.wrap("rebuild history", err)
	}
	if err := h.endRebuild(ctx, generation); err != nil {
		return Rebuilt{Failed: failed}, h.wrap("rebuild history", err)
	}
	warnings, err := h.logbookDamage()
	if err != nil {
		return Rebuilt{}, fmt.Errorf("rebuild history: %w", err)
	}
	return Rebuilt{len(files) - len(failed), len(files) - len(todo), failed, warnings}, nil
}

// startRebuild returns the generation to compute.
func (h *History) startRebuild(ctx context.Context, method string) (generation int64, err error) {
	err = inTransaction(ctx, h.db, func(tx *sql.Tx) error {
		var complete int64
		var unfinished string
		row := tx.QueryRowContext(ctx, "SELECT generation, rebuilding, method FROM progress")
		if err := row.Scan(&complete, &generation, &unfinished); err != nil {
			return err
		}
		if generation != 0 && unfinished == method {
			return nil
		}
		generation = max(complete, generation) + 1
		_, err := tx.ExecContext(ctx, "UPDATE progress SET rebuilding = ?, method = ?", generation, method)
		return err
	})
	return generation, err
}

// endRebuild drops what the takes folder no longer has and reads the logbook
// from its start.
func (h *History) endRebuild(ctx context.Context, generation int64) error {
	return inTransaction(ctx, h.db, func(tx *sql.Tx) error {
		// Foreign keys see to regions and systems, unless the database was
		// damaged.
		if _, err := tx.ExecContext(ctx, `DELETE FROM takes WHERE generation <> ?;
			DELETE FROM regions WHERE take NOT IN (SELECT name FROM takes);
			DELETE FROM systems WHERE take NOT IN (SELECT name FROM takes)`, generation); err != nil {
			return err
		}
		if err := clearLogged(ctx, tx); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, "UPDATE progress SET generation = ?, rebuilding = 0, method = '', logbook = 0", generation)
		if err != nil {
			return err
		}
		return h.applyLogbook(ctx, tx)
	})
}

type computed struct {
	take    string
	figures TakeFigures
	err     error
}

// compute computes takes on all cores and writes them from this goroutine.
func (h *History) compute(ctx context.Context, how Rebuilding, todo []string, total int) (failed []error, err error) {
	stop, cancel := context.WithCancel(ctx)
	defer cancel()
	names := make(chan string)
	results := make(chan computed)
	go func() {
		defer close(names)
		for _, name := range todo {
			select {
			case names <- name:
			case <-stop.Done():
				return
			}
		}
	}()
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(todo)) {
		workers.Go(func() {
			for name := range names {
				figures, err := how.Figures(stop, h.Path(name))
				results <- computed{name, figures, err}
			}
		})
	}
	go func() {
		workers.Wait()
		close(results)
	}()

	batch := make([]computed, 0, rebuildBatch)
	finished := total - len(todo)
	for result := range results {
		if err != nil {
			continue // the workers are being stopped
		}
		switch {
		case result.err == nil:
			batch = append(batch, result)
		case stop.Err() != nil:
			continue
		default:
			failed = append(failed, fmt.Errorf("%s: %w", result.take, result.err))
		}
		finished++
		if len(batch) == rebuildBatch {
			if err = h.addAll(batch); err != nil {
				cancel()
			}
			batch = batch[:0]
		}
		if how.Progress != nil {
			how.Progress(finished, total)
		}
	}
	if err == nil && len(batch) > 0 {
		err = h.addAll(batch)
	}
	slices.SortFunc(failed, func(a, b error) int { return strings.Compare(a.Error(), b.Error()) })
	return failed, err
}

// addAll writes a batch even when the rebuild has just been interrupted.
func (h *History) addAll(batch []computed) error {
	ctx := context.Background()
	return inTransaction(ctx, h.db, func(tx *sql.Tx) error {
		for _, one := range batch {
			if err := addTake(ctx, tx, one.take, one.figures); err != nil {
				return err
			}
		}
		return nil
	})
}
