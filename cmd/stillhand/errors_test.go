package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"stillhand/session"
	"stillhand/session/dashboard"
)

func TestNotice_IsOneLineWithoutWhatATerminalActsOn(t *testing.T) {
	t.Parallel()
	for said, want := range map[string]string{
		errors.Join(errors.New("one"), errors.New("two")).Error(): "one; two",
		"a\tb\u00a0c\rd":               "a b c d",
		"a\x1b[31m\u202eb\x00":         "a\ufffd[31m\ufffdb\ufffd",
		"\U0001f469\u200d\U0001f3a4 ä": "\U0001f469\u200d\U0001f3a4 ä",
	} {
		var errs strings.Builder
		(&world{err: &errs}).notice("%s", said)
		assert.Equal(t, want+"\n", errs.String())
	}
}

func TestExitCode_SaysWhatIsBesideAnInterruption(t *testing.T) {
	t.Parallel()
	crash := &session.CrashError{Part: "the screen", Value: "a key"}
	for want, err := range map[string]error{
		"":                            fmt.Errorf("rebuild history: %w", context.Canceled),
		"stillhand: take not saved\n": errors.Join(errors.Join(dashboard.ErrInterrupted, nil), errors.New("take not saved")),
		"stillhand: the screen crashed: a key; please report it\n": errors.Join(
			errors.Join(context.Canceled, dashboard.ErrInterrupted, crash), errors.New("please report it")),
	} {
		ctx, stop := context.WithCancel(t.Context())
		stop()
		var errs strings.Builder
		assert.Equal(t, exitInterrupted, exitCode(ctx, &errs, err))
		assert.Equal(t, want, errs.String())
	}
}
