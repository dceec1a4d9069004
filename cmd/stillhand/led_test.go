package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

func TestLed_LeadsOnceAndOnlyWhatIsWritten(t *testing.T) {
	t.Parallel()
	var out strings.Builder
	l := &led{&out, "[\n"}
	assert.Empty(t, out.String())
	fmt.Fprint(l, "a")
	fmt.Fprint(l, "b")
	assert.Equal(t, "[\nab", out.String())
}

func TestReviewing_GiveMakesAListOfAnswers(t *testing.T) {
	t.Parallel()
	var out strings.Builder
	v := &reviewing{w: &world{out: &out}, json: true}
	require.NoError(t, v.give(answer{review: &session.Review{}}, first))
	require.NoError(t, v.give(answer{review: &session.Review{}}, later))
	assert.Regexp(t, `(?s)^\[\n\{.*\}\n,\n\{.*\}\n$`, out.String())
}
