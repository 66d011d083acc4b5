package bench

import (
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"text/tabwriter"
	"time"
)

// table gathers what was measured.
type table struct {
	config   Config
	database string // PostgreSQL's version
	at       time.Time
	rows     []row
}

// row is one line of the table, as people read it.
type row struct{ number, what, baseline, measured, ratio, target, verdict string }

// Figures to reach.
const (
	readRate     = 0.85 // of the bare handler's requests a second, at least
	readP99      = 1.5  // of the bare handler's, at most
	decisionRate = 1_000_000
)

func (t *table) pointRead(pairs []pair) {
	rate := spreadOf(pairs, func(p pair) float64 { return p.service.rate / p.baseline.rate })
	p50 := spreadOf(pairs, func(p pair) float64 { return float64(p.service.p50) / float64(p.baseline.p50) })
	p99 := spreadOf(pairs, func(p pair) float64 { return float64(p.service.p99) / float64(p.baseline.p99) })
	cpu := spreadOf(pairs, func(p pair) float64 { return float64(p.service.cpu) / float64(p.baseline.cpu) })
	t.rows = append(t.rows,
		row{"P1", "point read of a unit, requests/s", number(spreadOf(pairs, func(p pair) float64 { return p.baseline.rate }).median),
			number(spreadOf(pairs, func(p pair) float64 { return p.service.rate }).median), rate.String(), "at least 0.85", verdict(rate.median >= readRate)},
		row{"", "median latency", milliseconds(pairs, func(p pair) time.Duration { return p.baseline.p50 }),
			milliseconds(pairs, func(p pair) time.Duration { return p.service.p50 }), p50.String(), "", ""},
		row{"", "99th percentile of latency", milliseconds(pairs, func(p pair) time.Duration { return p.baseline.p99 }),
			milliseconds(pairs, func(p pair) time.Duration { return p.service.p99 }), p99.String(), "at most 1.5", verdict(p99.median <= readP99)},
		row{"", "processor time of the program for each", microseconds(pairs, func(p pair) time.Duration { return p.baseline.cpu }),
			microseconds(pairs, func(p pair) time.Duration { return p.service.cpu }), cpu.String(), "", ""})
}

func (t *table) decisions(what string, rate spread, allocations float64) {
	t.rows = append(t.rows,
		row{"P3", what + ", decisions/s on one core", "", number(rate.median),
			fmt.Sprintf("%s to %s", number(rate.least), number(rate.most)), "at least 1,000,000", verdict(rate.median >= decisionRate)},
		row{"", "allocations in each", "", fmt.Sprintf("%.3g", allocations), "", "0", verdict(allocations == 0)})
}

func (t *table) write(out io.Writer) error {
	c := t.config
	fmt.Fprintf(out, "\nMeasured on %s: %d cores, %s/%s, %s, PostgreSQL %s, sillbook %s.\n", t.at.Format(time.DateOnly), runtime.NumCPU(),
		runtime.GOOS, runtime.GOARCH, runtime.Version(), t.database, c.Version)
	fmt.Fprintf(out, "%d units in %d organizations, seed %d; %d client connections, %d to the database; %d interleaved rounds of %s each: medians (lowest to highest).\n",
		c.Units, organizations, c.Seed, c.Clients, c.Connections, c.Rounds, c.Length)
	fmt.Fprintf(out, "Load generator, both servers and PostgreSQL share the cores. Baseline of P1: net/http and pgx alone, the same batch, the same bytes out.\n\n")
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "\twhat\tbaseline\tsillbook\tratio or spread\ttarget\t")
	for _, r := range t.rows {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", r.number, r.what, r.baseline, r.measured, r.ratio, r.target, r.verdict)
	}
	return w.Flush()
}

// spread is a figure over the rounds.
type spread struct{ median, least, most float64 }

func spreadOf[T any](rounds []T, figure func(T) float64) spread {
	figures := make([]float64, len(rounds))
	for i, r := range rounds {
		figures[i] = figure(r)
	}
	slices.Sort(figures)
	n := len(figures)
	return spread{(figures[(n-1)/2] + figures[n/2]) / 2, figures[0], figures[n-1]}
}

// String is a ratio with its spread.
func (s spread) String() string { return fmt.Sprintf("%.2f (%.2f to %.2f)", s.median, s.least, s.most) }

func milliseconds(pairs []pair, of func(pair) time.Duration) string {
	return fmt.Sprintf("%.2f ms", spreadOf(pairs, func(p pair) float64 { return float64(of(p)) }).median/float64(time.Millisecond))
}

func microseconds(pairs []pair, of func(pair) time.Duration) string {
	return fmt.Sprintf("%.0f µs", spreadOf(pairs, func(p pair) float64 { return float64(of(p)) }).median/float64(time.Microsecond))
}

// number writes a whole number with commas.
func number(f float64) string {
	text := fmt.Sprintf("%.0f", math.Abs(f))
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}

func verdict(reached bool) string {
	if reached {
		return "reached"
	}
	return "not reached"
}
