package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The whole demo, on a private PostgreSQL of its own, as `make demo ONCE=1` runs it.
func TestDemoTellsItsStory(t *testing.T) {
	t.Parallel()
	var story, trouble bytes.Buffer
	cmd := demonstrate()
	cmd.SetArgs([]string{"--once"})
	cmd.SetOut(&story)
	cmd.SetErr(&trouble)
	cmd.SilenceUsage = true
	require.NoError(t, cmd.ExecuteContext(t.Context()), "%s%s", &story, &trouble)
	told := strings.Join(strings.Fields(story.String()), " ") // lines end elsewhere on other days
	for _, line := range []string{
		"77 covered 45 presumed covered 97 not covered", // homes.yaml, counted by hand
		"200 recorded, 0 refused.", "1 a covered renovation", "0 recorded, 200 on record already",
		"2.00 ft2 of 6.00 ft2 may still be disturbed", "Nothing: 7.00 ft2 were disturbed within 30 days",
		"No. 3 things stand in the way:", "To clear it: Hand over the pamphlet between",
		"50.2 ug/ft2 limit 40.0 ug/ft2 fail", "11.5 ug/ft2 limit 40.0 ug/ft2 pass",
		"Bags: 4 sealed = 0 stored + 1 on the way + 3 delivered + 0 lost. Not accounted for: 1.",
		"Bags: 4 sealed = 0 stored + 0 on the way + 4 delivered + 0 lost. Not accounted for: 0.",
		"A restricted requirement applies, due ", "92 of the landlord's 219 units:",
		"No: it passed then and would have failed.", "It would have passed: until 11 January 2026",
		"the town's 3 ug/ft2 governs, where federal law has 5", "the federal minimum of 6 governs", "Tell the building office at least 7 days before",
		"build year: 1978 or later, recorded, and it is not covered",
		"none is missing and none comes twice", "Version 1, recorded on", "not legal advice",
	} {
		require.Contains(t, told, line)
	}
	require.NotContains(t, told, `{"`, "no JSON in the story")
	require.Empty(t, trouble.String())
}
