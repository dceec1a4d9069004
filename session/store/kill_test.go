package store

import (
	"bufio"
	"cmp"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
)

var kills = flag.Int("kills", 25, "how many programs TestRecorder_SurvivesKillAtAnyMoment kills")

const killedDir = "STILLHAND_TEST_KILLED_DIR"

// The program that is killed: it records take after take, some 4,000 numbered
// messages a second, and says which it has handed over, while it keeps disk
// and processor busy.
func TestKilledProgram(t *testing.T) {
	dir := os.Getenv(killedDir)
	if dir == "" {
		t.Skip("run by TestRecorder_SurvivesKillAtAnyMoment")
	}
	go func() {
		for {
			_ = os.WriteFile(filepath.Join(dir, "load"), make([]byte, 1<<20), 0o600)
			if file, err := os.Open(filepath.Join(dir, "load")); err == nil {
				_ = file.Sync()
				_ = file.Close()
			}
		}
	}()
	_, err := Recover(OS, dir)
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(uint64(os.Getpid()), 0))
	for n := 0; ; {
		start := time.Now()
		rec := NewRecorder(OS, dir, start, header)
		for last := n + 200 + random.IntN(1500); n < last; n++ {
			rec.Event(numberedMessage(time.Since(start), n))
			if n%4 == 3 {
				fmt.Printf("played %d\n", n)
				<-time.After(time.Millisecond)
			}
		}
		_, err := rec.Finish()
		require.NoError(t, err)
		fmt.Printf("kept %d\n", n-1)
	}
}

func numberedMessage(at time.Duration, n int) midiin.Event {
	return midiin.Event{At: at, Data: [3]byte{0xe0 | byte(n>>14), byte(n & 0x7f), byte(n >> 7 & 0x7f)}}
}

func numberOf(e midiin.Event) int {
	return int(e.Data[0]&0xf)<<14 | int(e.Data[2])<<7 | int(e.Data[1])
}

// Issue: killed with SIGKILL at 200 random moments under load, every note
// received more than 250 ms before is in the recovered take, in order, and no
// take is ever unreadable. All 200: go test -run Kill -kills 200 .
func TestRecorder_SurvivesKillAtAnyMoment(t *testing.T) {
	t.Parallel()
	n := *kills
	if testing.Short() {
		n = min(n, 4)
	}
	random := rand.New(rand.NewPCG(5, 6))
	moments := make(chan time.Duration, n)
	for range n {
		moments <- time.Duration(random.IntN(900)) * time.Millisecond
	}
	close(moments)
	var workers sync.WaitGroup
	for range 4 {
		workers.Go(func() {
			for moment := range moments {
				killOne(t, moment)
			}
		})
	}
	workers.Wait()
}

func killOne(t *testing.T, moment time.Duration) {
	dir := filepath.Join(t.TempDir(), "takes")
	assert.NoError(t, OS.MkdirAll(dir))
	command := exec.Command(os.Args[0], "-test.run=^TestKilledProgram$")
	command.Env = append(os.Environ(), killedDir+"="+dir)
	output, err := command.StdoutPipe()
	if !assert.NoError(t, err) || !assert.NoError(t, command.Start()) {
		return
	}
	type said struct {
		number int
		at     time.Time
		kept   bool
	}
	var heard []said
	var once sync.Once
	var killed time.Time
	dead := make(chan struct{})
	lines := bufio.NewScanner(output)
	for lines.Scan() {
		word, number, _ := strings.Cut(lines.Text(), " ")
		if word != "played" && word != "kept" {
			continue
		}
		n, err := strconv.Atoi(number)
		if err != nil {
			continue // cut off by the kill
		}
		heard = append(heard, said{n, time.Now(), word == "kept"})
		once.Do(func() {
			time.AfterFunc(moment, func() {
				killed = time.Now()
				_ = command.Process.Kill()
				close(dead)
			})
		})
	}
	ended := time.Now()
	if !assert.NotEmpty(t, heard, "the program did not start") {
		return
	}
	<-dead
	_ = command.Wait()
	assert.False(t, ended.Before(killed), "the program failed by itself")

	if err := os.Remove(filepath.Join(dir, "load")); !errors.Is(err, fs.ErrNotExist) { // killed before it was made
		assert.NoError(t, err)
	}
	all, err := Recover(OS, dir)
	assert.NoError(t, err)
	assert.LessOrEqual(t, len(all), 1)
	names, err := OS.ReadDir(dir)
	assert.NoError(t, err)
	var takes [][]midiin.Event
	for _, name := range names {
		switch filepath.Ext(name) {
		case takeExt:
			takes = append(takes, readTake(t, OS, filepath.Join(dir, name)))
		case ".damaged": // a torn end
		default:
			assert.Fail(t, "left behind", name)
		}
	}
	slices.SortFunc(takes, func(a, b []midiin.Event) int { return cmp.Compare(numberOf(a[0]), numberOf(b[0])) })
	next := 0
	for _, take := range takes {
		for _, e := range take {
			if !assert.Equal(t, next, numberOf(e), "in order, none missing") {
				return
			}
			next++
		}
	}
	for _, s := range heard {
		if s.kept || killed.Sub(s.at) > 250*time.Millisecond {
			assert.Greater(t, next, s.number, "killed %v after it was played, at %v", killed.Sub(s.at), moment)
		}
	}
}
