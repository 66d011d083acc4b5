package clearance

import (
	"fmt"
	"slices"
	"strings"

	"sillbook/internal/trade/law"
)

// Site is the place that was to be sampled, as a sampling plan needs it.
type Site struct {
	Work           Work
	Extent         Extent
	Contained      law.Tri
	WindowsCovered law.Tri
	OpeningsSealed law.Tri
	Rooms          []Room
}

// plan are the facts of the plan that the sampling is held against; without a seed, since any rooms will do.
func (s *Site) plan(limits Limits) PlanFacts {
	return PlanFacts{AsOf: limits.On, Jurisdictions: limits.Jurisdictions, Programmes: limits.Programmes, Work: s.Work, Extent: s.Extent,
		Contained: s.Contained, WindowsCovered: s.WindowsCovered, OpeningsSealed: s.OpeningsSealed, Rooms: s.Rooms}
}

// spot is a surface of a room, or outside the containment, that a wipe that counts was taken from.
type spot struct {
	place   string
	surface Surface
}

// mostUnknown bounds the facts of rooms that an answer lists as not known.
const mostUnknown = 50

// enough holds the sampling against what the law asks for, where the place was told: so many rooms with every surface they have, and a
// floor outside the containment. Wipes name a room by the name it has in the site.
func (v *Verdict) enough(f Facts, limits Limits) {
	if f.Site == nil {
		v.Untold = append(v.Untold, law.Missing{Fact: "site", Why: "The rooms were not told, so whether enough of them were sampled was not judged.",
			WouldChange: "Too few rooms, or no floor outside a containment, leave a clearance unshown."})
		return
	}
	if limits.rules == nil {
		return
	}
	facts := f.Site.plan(limits)
	n, err := limits.rules.Plans.numbers(facts)
	if err != nil {
		return // before there was a rule on places
	}
	plan, taken := limits.rules.Plans.plan(facts, n), v.taken(f)
	lacking, unknown := lackingRooms(plan, taken, n.rooms.Int())
	outside := slices.ContainsFunc(plan.Wipes, func(w Planned) bool { return w.Outside })
	if outside && !taken[spot{surface: FloorBare}] {
		lacking = append(lacking, fmt.Sprintf("a floor outside the containment, within %s ft of it", n.distance.Number()))
	}
	for _, w := range unknown[:min(len(unknown), mostUnknown)] {
		i := slices.IndexFunc(f.Site.Rooms, func(r Room) bool { return r.Name == w.Place })
		v.Missing = append(v.Missing, law.Missing{Fact: fmt.Sprintf("site/rooms/%d/%s", i, string(w.Surface)), Why: fmt.Sprintf("Whether %s has a %s is not known, and no wipe was taken of one.", w.Place, w.Surface),
			WouldChange: "Where it has none, no wipe of it is missing."})
	}
	if len(lacking) == 0 {
		return
	}
	v.NotSampled, v.blocked = lacking, true
	v.Reasons = append(v.Reasons, law.Reason{Rule: "sampling_not_enough", Fact: "site", Value: fmt.Sprintf("%d lacking", len(lacking)), Citation: n.rooms.Cite(),
		Text: cut("The sampling lacks: " + strings.Join(lacking, "; ") + ".")})
}

// taken are the spots with a wipe that counts. Bare and carpeted floors are floors; a composite stands for the places it names.
func (v *Verdict) taken(f Facts) map[spot]bool {
	taken := map[spot]bool{}
	for i, s := range f.Samples {
		if s.Surface.IsBlank() || v.Samples[i].Fault != nil {
			continue
		}
		surface := floorOrSame(s.Surface)
		if s.Outside {
			taken[spot{surface: surface}] = true
			continue
		}
		taken[spot{s.Place, surface}] = true
		if s.Parts > 1 {
			for _, place := range s.Represents {
				taken[spot{place, surface}] = true
			}
		}
	}
	return taken
}

func floorOrSame(s Surface) Surface {
	if s == FloorCarpeted {
		return FloorBare
	}
	return s
}

// lackingRooms says what the rooms lack until so many are sampled in full, those first that lack least. What may not be there is not
// lacking, but not known.
func lackingRooms(plan Plan, taken map[spot]bool, need int) (lacking []string, unknown []Planned) {
	type state struct {
		room    string
		lacks   []Planned
		unknown []Planned
	}
	rooms := map[string]*state{}
	var order []*state
	for _, w := range plan.Wipes {
		if w.Outside {
			continue
		}
		s := rooms[w.Place]
		if s == nil {
			s = &state{room: w.Place}
			rooms[w.Place] = s
			order = append(order, s)
		}
		switch there := taken[spot{w.Place, floorOrSame(w.Surface)}]; {
		case there:
		case w.IfPresent:
			s.unknown = append(s.unknown, w)
		default:
			s.lacks = append(s.lacks, w)
		}
	}
	slices.SortStableFunc(order, func(a, b *state) int {
		if len(a.lacks) != len(b.lacks) {
			return len(a.lacks) - len(b.lacks)
		}
		return len(a.unknown) - len(b.unknown)
	})
	for _, s := range order[:min(need, len(order))] {
		for _, w := range s.lacks {
			lacking = append(lacking, fmt.Sprintf("%s of %s", w.Surface, s.room))
		}
		unknown = append(unknown, s.unknown...)
	}
	return lacking, unknown
}

// cut keeps a sentence within what an answer bears.
func cut(text string) string {
	if runes := []rune(text); len(runes) > 1900 {
		return string(runes[:1900]) + "…"
	}
	return text
}

// clearedBy holds whoever examined and sampled against who may clear. Somebody who may not shows no pass: every wipe is taken again. What is
// not known of them is named, and does not stand in the way.
func (v *Verdict) clearedBy(f Facts, limits Limits) {
	if f.Clearer == nil {
		v.Untold = append(v.Untold, law.Missing{Fact: "examiner", Why: "Who examined and sampled was not told.", WouldChange: "Somebody who may not clear shows no pass."})
		return
	}
	if limits.rules == nil {
		return
	}
	who := *f.Clearer
	who.AsOf, who.Jurisdictions = limits.On, limits.Jurisdictions
	if who.Work == "" && f.Site != nil {
		who.Work = f.Site.Work
	}
	if slices.Contains(limits.Programmes, "hud") || slices.Contains(limits.Programmes, "hud_grant") {
		who.Assisted = law.Yes
	}
	found, err := limits.rules.Authorities.read(who)
	if err != nil {
		return // before there was a rule on who clears
	}
	answer := limits.rules.Authorities.judge(who, found)
	for _, m := range answer.Determination.Missing {
		m.Fact = "examiner." + m.Fact
		v.Untold = append(v.Untold, m)
	}
	if answer.Outcome != MayNot {
		return
	}
	v.blocked = true
	v.resampleAll(f)
	for _, r := range answer.Determination.Reasons {
		r.Fact = "examiner." + r.Fact
		v.Reasons = append(v.Reasons, r)
	}
	v.Reasons = append(v.Reasons, law.Reason{Rule: "examiner_may_not", Fact: "examiner", Value: who.Discipline, Citation: certifiedToDo,
		Text: "Whoever examined and sampled may not clear this work, so nothing is shown to pass: have it sampled by somebody who may."})
}
