package store

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/testdata/bound"
)

// smallJournal returns a journal of n notes and where each record starts.
func smallJournal(n int) (data []byte, starts []int) {
	data = []byte(journalMagic)
	add := func(kind recordKind, payload string) {
		starts = append(starts, len(data))
		data = appendRecord(data, uint32(len(starts)-1), kind, time.Duration(len(starts))*time.Millisecond, payload)
	}
	add(startRecord, evening.Format(time.RFC3339Nano))
	add(fieldRecord, "fingers=four")
	for i := range n {
		add(messageRecord, string([]byte{0x90, byte(30 + i), 80}))
	}
	return data, starts
}

func recordAt(starts []int, at int) int {
	for i := len(starts) - 1; i >= 0; i-- {
		if at >= starts[i] {
			return i
		}
	}
	return -1 // in the magic
}

func TestJournal_ABitFlippedAnywhereLosesOneRecordAndNamesItsByte(t *testing.T) {
	t.Parallel()
	whole, starts := smallJournal(12)
	all, damages := readJournal(whole)
	require.Len(t, all, len(starts))
	require.Empty(t, damages)
	for at := range whole {
		for bit := range 8 {
			data := bytes.Clone(whole)
			data[at] ^= 1 << bit
			records, damages := readJournal(data)
			hit := recordAt(starts, at)
			want := append([]record(nil), all...)
			wantAt := 0
			if hit >= 0 {
				want = append(want[:hit], want[hit+1:]...)
				wantAt = starts[hit]
			}
			require.Equal(t, want, records, "byte %d bit %d", at, bit)
			require.Len(t, damages, 1)
			require.Equal(t, wantAt, damages[0].at)
			warnings := journalWarnings("x", records, damages, len(data))
			require.Contains(t, warnings[0], fmt.Sprintf("byte %d", wantAt))
		}
	}
}

func TestJournal_TornAnywhereKeepsAllBefore(t *testing.T) {
	t.Parallel()
	whole, starts := smallJournal(12)
	all, _ := readJournal(whole)
	for size := range whole {
		records, damages := readJournal(whole[:size])
		kept := 0
		for kept < len(starts) && (kept+1 < len(starts) && starts[kept+1] <= size) {
			kept++
		}
		require.Equal(t, all[:kept], append([]record{}, records...), "cut at %d", size)
		atRecord := size == 0 || (kept < len(starts) && size == starts[kept])
		require.Equal(t, atRecord, len(damages) == 0, "cut at %d", size)
	}
}

func TestJournal_RecordsWrittenAgainCountOnce(t *testing.T) {
	t.Parallel()
	whole, starts := smallJournal(12)
	all, _ := readJournal(whole)
	data := bytes.Clone(whole)
	clear(data[starts[5]:starts[8]]) // pages that an fsync failed to keep
	data = append(data, whole[starts[4]:starts[10]]...)
	records, damages := readJournal(data)
	assert.Equal(t, all, records)
	assert.Equal(t, []damage{{starts[5], starts[8] - starts[5]}}, damages)
	assert.Zero(t, missing(records))
}

func TestJournal_RandomDamageLosesOnlyWhatItTouches(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		whole, starts := smallJournal(40)
		all, _ := readJournal(whole)
		data := bytes.Clone(whole)
		from := len(journalMagic) + random.IntN(len(data)-len(journalMagic))
		to := min(len(data), from+1+random.IntN(120))
		for i := from; i < to; i++ {
			data[i] = byte(random.Uint32())
		}
		first, last := recordAt(starts, from), recordAt(starts, to-1)
		records, _ := readJournal(data)
		want := append(append([]record(nil), all[:first]...), all[last+1:]...)
		// A byte may by chance be written as it was.
		require.GreaterOrEqual(t, len(records), len(want))
		for _, rec := range want {
			require.Contains(t, records, rec)
		}
	}
}

func FuzzJournal(f *testing.F) {
	whole, starts := smallJournal(6)
	f.Add(whole)
	f.Add(whole[:starts[4]+3])
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, data []byte) {
		bound.Check(t, len(data), func() { readAny(t, data) })
	})
}

func readAny(t *testing.T, data []byte) {
	records, damages := readJournal(data)
	covered := 0
	for _, d := range damages {
		require.Positive(t, d.bytes)
		covered += d.bytes
	}
	require.LessOrEqual(t, covered, len(data))
	for i := 1; i < len(records); i++ {
		require.Greater(t, records[i].sequence, records[i-1].sequence)
	}
	journalWarnings("x", records, damages, len(data))
	file, _, err := takeFile(records)
	require.NoError(t, err)
	require.LessOrEqual(t, len(file), 32*len(data)+1<<16)
}
