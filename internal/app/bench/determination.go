package bench

import (
	"math"
	"math/rand/v2"
	"runtime"
	"time"

	"sillbook/internal/overlay"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
)

// determinations measures P3: pure decisions from facts in memory, on one core, without the words that explain them.
func (c Config) determinations(t *table) error {
	c.say("Deciding.")
	book, err := law.Embedded()
	if err != nil {
		return err
	}
	homes, err := home.NewRules(book)
	if err != nil {
		return err
	}
	jobs, err := renovation.NewRules(book)
	if err != nil {
		return err
	}
	if err := decide(c, t, "coverage of a home", c.homes(), func(f home.CoverageFacts) error {
		_, err := homes.Cover(f)
		return err
	}); err != nil {
		return err
	}
	if err := decide(c, t, "applicability to a job, up to 5 others near it", c.jobs(), func(j job) error {
		_, err := jobs.Apply(j.work, j.others)
		return err
	}); err != nil {
		return err
	}
	local, err := conditions()
	if err != nil {
		return err
	}
	return decide(c, t, "the same with three local conditions beside it", c.jobs(), func(j job) error {
		facts := law.LocalFacts{"job.area": j.work.Area.String(), "job.method": string(j.work.Method), "home.rented": j.work.Rented.String()}
		for _, condition := range local {
			if _, err := condition.Holds(facts); err != nil {
				return err
			}
		}
		_, err := jobs.Apply(j.work, j.others)
		return err
	})
}

// conditions are three of local rules, as an overlay may have them.
func conditions() ([]law.Condition, error) {
	var list []law.Condition
	for _, text := range []string{`job.area > 2.0 && home.rented == "yes"`, `job.window_replaced == "yes" || job.method in ["replaced", "demolished"]`,
		`job.area >= 20.0 || (job.exterior != "yes" && job.area >= 6.0)`} {
		condition, err := overlay.Compile(text)
		if err != nil {
			return nil, err
		}
		list = append(list, condition)
	}
	return list, nil
}

// decisionRound is the length of one round of decisions.
const decisionRound = 300 * time.Millisecond

// situations is how many different facts a decision is asked about in turn, so that no branch is always the same.
const situations = 4096

func (c Config) homes() []home.CoverageFacts {
	random := rand.New(rand.NewPCG(c.Seed, situations))
	homes := make([]home.CoverageFacts, situations)
	for i := range homes {
		homes[i] = home.CoverageFacts{AsOf: calendar.Of(2026, 1, 1).AddDays(random.IntN(365)), BuildYear: 1900 + random.IntN(120),
			Certainty: home.Certainty(random.IntN(3)), Kind: home.UnitKind(random.IntN(3)), Bedrooms: random.IntN(5) - 1,
			HousingFor: home.HousingFor(random.IntN(4)), ChildUnderSix: law.Tri(random.IntN(3)), VisitedByChild: law.Tri(random.IntN(3)),
			FoundLeadFree: law.Tri(random.IntN(3))}
	}
	return homes
}

// job is a piece of work and the others at its place.
type job struct {
	work   renovation.Work
	others []renovation.Other
}

func (c Config) jobs() []job {
	random := rand.New(rand.NewPCG(c.Seed, situations+1))
	area := func() measure.Number { return measure.Frac(random.Int64N(1200), 144) } // square inches, told in square feet
	methods := practice.Methods()
	jobs := make([]job, situations)
	for i := range jobs {
		j := &jobs[i]
		j.work = renovation.Work{On: calendar.Of(2026, 1, 1).AddDays(random.IntN(365)), HomeCovered: law.Tri(random.IntN(3)), Exterior: random.IntN(4) == 0,
			Area: area(), AreaKnown: random.IntN(10) > 0, PaintDisturbed: law.Tri(random.IntN(3)), Method: methods[random.IntN(len(methods))],
			WindowReplaced: random.IntN(20) == 0, Demolished: random.IntN(20) == 0, Emergency: random.IntN(20) == 0,
			DoneBy: renovation.DoneBy(random.IntN(6)), Rented: law.Tri(random.IntN(3)), LeadFree: law.Tri(random.IntN(3)), Assisted: law.Tri(random.IntN(3))}
		for range random.IntN(6) {
			j.others = append(j.others, renovation.Other{On: j.work.On.AddDays(random.IntN(80) - 40), Area: area(), Known: random.IntN(10) > 0,
				Emergency: random.IntN(20) == 0})
		}
	}
	return jobs
}

// decide takes decisions in one goroutine, round after round; a first one warms up. The runtime's own few allocations,
// over hundreds of thousands of decisions, are not counted.
func decide[F any](c Config, t *table, what string, facts []F, decision func(F) error) error {
	var rates []float64
	var allocations float64
	for range c.Rounds + 1 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		taken, start := 0, time.Now()
		for time.Since(start) < decisionRound {
			for _, f := range facts {
				if err := decision(f); err != nil {
					return err
				}
			}
			taken += len(facts)
		}
		rates = append(rates, float64(taken)/time.Since(start).Seconds())
		runtime.ReadMemStats(&after)
		allocations = math.Floor(1000*float64(after.Mallocs-before.Mallocs)/float64(taken)) / 1000
	}
	t.decisions(what, spreadOf(rates[1:], func(r float64) float64 { return r }), allocations)
	return nil
}
