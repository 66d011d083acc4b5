package demo

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"sillbook/api"
)

// log reads the one log of everything, and an old version of a record (chapter 6).
func (s *story) log() {
	s.chapter(6, "The log, in which nothing is lost", s.clock.day(0))
	changes := s.changes()
	s.ask("%s: what has happened in our records, in order?", s.homes.Landlord)
	kinds, actions := map[string]int{}, map[string]int{}
	for i, c := range changes {
		must(c.Position == int64(i+1), "positions are dense: change %d is at position %d", i+1, c.Position)
		kinds[c.SubjectKind]++
		actions[c.Action]++
	}
	last := changes[len(changes)-1]
	s.answer("%d changes, at positions 1 to %d: none is missing and none comes twice. The rules that answered last: %s.", len(changes), last.Position, *last.RuleSet)
	s.and("What was done:")
	for _, action := range most(actions) {
		s.row(actions[action], words(action))
	}
	var list []string
	for _, kind := range most(kinds) {
		list = append(list, fmt.Sprintf("%d %s", kinds[kind], words(kind)))
	}
	s.and("To which kinds of record: %s.", strings.Join(list, ", "))
	must(actions["reclassified"] > 0 && actions["sent_back"] > 0 && actions["opened"] > 0, "what the service did itself is in the log too")
	s.and("Opened, reclassified and sent back are what the service did itself, because of a fact it was told.")
	s.oldVersion()
}

// most are the keys of counts, the highest count first.
func most(counts map[string]int) []string {
	return slices.SortedFunc(maps.Keys(counts), func(a, b string) int { return cmp.Or(cmp.Compare(counts[b], counts[a]), cmp.Compare(a, b)) })
}

// changes reads the whole log; what was written a moment ago may take a moment to get its position.
func (s *story) changes() []api.Change {
	var all []api.Change
	for after, quiet := int64(0), 0; quiet < 3; {
		page := read(s.owner.ListChangesWithResponse(s.ctx, &api.ListChangesParams{After: &after, Limit: new(int32(1000))}))
		all, after = append(all, page.Items...), page.NextAfter
		if len(page.Items) > 0 {
			quiet = 0
			continue
		}
		quiet++
		select {
		case <-time.After(100 * time.Millisecond):
		case <-s.ctx.Done():
			stopf("%w", s.ctx.Err())
		}
	}
	return all
}

// oldVersion reads the first repair as it was before the second made it something else.
func (s *story) oldVersion() {
	s.ask("The 4 ft2 in that kitchen: what did the record say at first, and what does it say now?")
	now := read(s.owner.GetSmallRepairWithResponse(s.ctx, s.firstRepair, &api.GetSmallRepairParams{}))
	must(now.Version > 1, "the record has been changed")
	for v := int32(1); v <= now.Version; v++ {
		old := read(s.owner.GetSmallRepairWithResponse(s.ctx, s.firstRepair, &api.GetSmallRepairParams{Version: &v}))
		must(old.Version == v, "version %d can be read", v)
		s.answer("Version %d, recorded on %s: %s.", v, old.UpdatedAt.In(s.clock.zone).Format("2 January at 15:04"), outcomeWords[*old.Outcome])
	}
	s.say("Both stay. Nothing is overwritten, and nothing is deleted.")
}
