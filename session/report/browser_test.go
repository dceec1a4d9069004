package report

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

// browser finds Chromium. Without one the test is skipped, but in CI it fails.
func browser(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes seconds to start")
	}
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	const missing = "no chromium on the path (Debian: apt-get install chromium)"
	if os.Getenv("CI") == "true" {
		t.Fatal(missing)
	}
	t.Skip(missing)
	return ""
}

// browse runs Chromium, with a profile of its own and nothing going on in the
// background, and returns what it printed. A browser that a signal ended has
// said nothing about the page, and is started twice more: Chromium was seen to
// die of a segmentation fault while it started on a machine without D-Bus.
func browse(t *testing.T, program string, arguments ...string) (stdout, stderr string) {
	t.Helper()
	for try := 1; ; try++ {
		stdout, stderr, err := browseOnce(t, program, arguments...)
		var exit *exec.ExitError
		if crashed := errors.As(err, &exit) && exit.ExitCode() == -1; crashed && try < 3 {
			t.Logf("the browser crashed, once more: %v\n%s", err, stderr)
			continue
		}
		require.NoError(t, err, stderr)
		return stdout, stderr
	}
}

// browseOnce is one start of it. One that hangs is an error of its own and no
// crash: a busy machine takes a minute.
func browseOnce(t *testing.T, program string, arguments ...string) (stdout, stderr string, err error) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	defer cancel()
	flags := []string{"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--disable-dev-shm-usage", "--hide-scrollbars", "--enable-logging=stderr", "--v=0",
		"--user-data-dir=" + t.TempDir()}
	run := exec.CommandContext(ctx, program, append(flags, arguments...)...)
	var out, log strings.Builder
	run.Stdout, run.Stderr = &out, &log
	err = run.Run()
	if ctx.Err() != nil {
		err = fmt.Errorf("the browser did not end: %w", ctx.Err())
	}
	return out.String(), log.String(), err
}

// browserSheets are the sheets to look at: one as it should be, one with as
// much of everything as a sheet takes, one with next to nothing.
func browserSheets(t *testing.T) map[string]string {
	full := demoSheet(t)
	full.Title = strings.Repeat("A title that goes on ", 6)
	full.Student = strings.Repeat("Wolfeschlegelsteinhausen", 4)
	full.Note = strings.Repeat("A note of the teacher's that fills a line of the page and then some more. ", 3) + "\nAnd another.\nAnd a third."
	full.Practice = []string{strings.Repeat("Practise this with care and attention. ", 4), "And that.", "And more."}
	r := full.Review
	r.Source = strings.Repeat("unbroken", 30) + ".mid"
	for range 9 {
		r.Input.Warnings = append(r.Input.Warnings, strings.Repeat("a warning about the file ", 5))
	}
	r.Changed = []string{"three", "four"}
	for i := range r.Advice {
		r.Advice[i].Text = strings.Repeat("a long sentence about the hand and where it lies ", 4)
	}
	r.Neck.Strings = []string{"C3", "G2", "D2", "A1", "E1", "B0"}
	for i := range r.Notes {
		r.Notes[i].String++
	}
	for i := range r.Advice {
		for j := range r.Advice[i].Path {
			r.Advice[i].Path[j].String++
		}
	}
	var compared strings.Builder
	require.NoError(t, CompareSheet(&compared, CompareData{Comparison: lesson(t), Title: full.Title, Note: full.Note, Student: full.Student, Date: "today", BarsA: sampleBars}))
	// Ordinary lengths, but of everything enough to fill both pages of Letter.
	brim := demoSheet(t)
	brim.Review.Input.Strings = "inferred"
	brim.Review.Source, brim.Review.Input.Anchors = "a-file-with-an-ordinary-name.mid", 3
	brim.Review.ReachMM = nil
	brim.Practice = []string{full.Practice[0], full.Practice[0]}
	brim.Review.Notes[40].Reached = true
	brim.Review.Input.Dropped = make([]session.ReviewDropped, 20)
	for i := range brim.Review.Advice {
		brim.Review.Advice[i].Text = "Other strings, window 1 to 4: no shift instead of 4. From D1 to F1, begin with finger 1 on the E string at fret 2. The slide is then struck."
	}
	few := SheetData{Review: &session.Review{Source: "x", Neck: r.Neck, Fingers: "four"}}
	return map[string]string{"demo": sheetOf(t, demoSheet(t)), "full": sheetOf(t, full), "brim": sheetOf(t, brim), "few": sheetOf(t, few), "compared": compared.String()}
}

// measure reports every element of a frame that leaves it. Screen readers'
// asides are clipped to nothing and left out.
const measure = `<script>
addEventListener('load', () => {
  const out = [];
  for (const frame of document.querySelectorAll('iframe')) {
    const page = frame.contentDocument, width = frame.clientWidth, over = [];
    if (page.documentElement.scrollWidth > width) over.push('page ' + page.documentElement.scrollWidth);
    let seen = 0;
    for (const e of page.body.querySelectorAll('*')) {
      const box = e.getBoundingClientRect();
      if (e.closest('.aside') || box.width === 0 && box.height === 0) continue;
      seen++;
      if (box.left < -0.5 || box.right > width + 0.5) over.push(e.nodeName + ' ' + box.left + ' ' + box.right + ' ' + e.textContent.slice(0, 40));
    }
    out.push({name: frame.id, width, seen, over, style: page.defaultView.getComputedStyle(page.body).maxWidth});
  }
  document.getElementById('out').textContent = JSON.stringify(out);
});
</script>`

// TestSheet_FitsScreensInSilence opens every sheet at a phone's and a desk's
// width in one browser: nothing overflows and nothing reaches the console,
// where a refused request would be reported (the sheet's own policy forbids
// all requests).
func TestSheet_FitsScreensInSilence(t *testing.T) {
	t.Parallel()
	program := browser(t)
	var page strings.Builder
	page.WriteString("<!doctype html><meta charset=utf-8><pre id=out></pre>")
	for name, sheet := range browserSheets(t) {
		for _, width := range []int{360, 1200} {
			fmt.Fprintf(&page, `<iframe id="%s-%d" width=%d height=800 style="border:0" srcdoc="%s"></iframe>`, name, width, width, html.EscapeString(sheet))
		}
	}
	page.WriteString(measure)
	path := filepath.Join(t.TempDir(), "frames.html")
	require.NoError(t, os.WriteFile(path, []byte(page.String()), 0o600))
	dom, log := browse(t, program, "--virtual-time-budget=10000", "--window-size=1300,900", "--dump-dom", "file://"+path)

	found := regexp.MustCompile(`<pre id="out">([^<]*)</pre>`).FindStringSubmatch(dom)
	require.Len(t, found, 2)
	var frames []struct {
		Name        string
		Width, Seen int
		Over        []string
	}
	require.NoError(t, json.Unmarshal([]byte(html.UnescapeString(found[1])), &frames))
	require.Len(t, frames, 10)
	for _, f := range frames {
		assert.Greater(t, f.Seen, 40, f.Name)
		assert.Empty(t, f.Over, f.Name)
	}
	assert.NotContains(t, log, "CONSOLE")
}

// The browser's own report of a message, so that silence means something.
func TestBrowser_ReportsWhatAPageAsksFor(t *testing.T) {
	t.Parallel()
	program := browser(t)
	path := filepath.Join(t.TempDir(), "loud.html")
	sheet := strings.Replace(sheetOf(t, demoSheet(t)), "<main>", `<main><img src="http://192.0.2.1/x.png">`, 1)
	require.NoError(t, os.WriteFile(path, []byte(sheet), 0o600))
	_, log := browse(t, program, "--dump-dom", "file://"+path)
	assert.Contains(t, log, "CONSOLE")
	assert.Contains(t, log, "192.0.2.1")
}

func TestSheet_PrintsOnTwoPages(t *testing.T) {
	t.Parallel()
	program := browser(t)
	sheets := browserSheets(t)
	for _, c := range []struct {
		name, size   string
		width, pages int // width in points
	}{
		{"demo", "A4", 595, 2}, {"full", "A4", 595, 2}, {"full", "letter", 612, 2}, {"brim", "A4", 595, 2}, {"brim", "letter", 612, 2}, {"few", "A4", 595, 1}, {"compared", "letter", 612, 2},
	} {
		t.Run(c.name+" on "+c.size, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			path, pdf := filepath.Join(dir, "sheet.html"), filepath.Join(dir, "sheet.pdf")
			sized := strings.Replace(sheets[c.name], "@page {", "@page { size: "+c.size+";", 1)
			require.NotEqual(t, sheets[c.name], sized)
			require.NoError(t, os.WriteFile(path, []byte(sized), 0o600))
			browse(t, program, "--no-pdf-header-footer", "--print-to-pdf="+pdf, "file://"+path)
			data, err := os.ReadFile(pdf)
			require.NoError(t, err)
			assert.Equal(t, c.pages, pdfPages(data))
			assert.InDelta(t, c.width, pdfWidth(t, data), 1)
		})
	}
}

// pdfPages counts page objects, which Chromium writes uncompressed.
func pdfPages(data []byte) int {
	return len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(data, -1))
}

func pdfWidth(t *testing.T, data []byte) float64 {
	m := regexp.MustCompile(`/MediaBox\s*\[0 0 ([0-9.]+)`).FindSubmatch(data)
	require.NotNil(t, m)
	return parse(t, string(m[1]))
}
