package crew

import (
	"slices"

	"sillbook/internal/trade/law"
)

// roster is who was there and what each is certified as on the day: all that the question of who may do what turns on.
type roster struct {
	acts                 []Act
	members              []member
	reachable, emergency law.Tri
	noKit                bool // the kit told may not be used
	kitUnknown           bool // because it is not known to be recognised
	done                 []Deed
}

// member is a firm or a person.
type member struct {
	name      string
	certified []Discipline
	trained   law.Tri
	firm      bool
}

func (r Authority) roster(f AuthorityFacts) roster {
	c := roster{acts: f.Acts, reachable: f.Reachable, emergency: f.Emergency, done: f.Done}
	if f.Kit != nil {
		c.noKit, c.kitUnknown = !r.kits.judge(*f.Kit, f.AsOf).May, f.Kit.Recognised == law.Unknown
	}
	for i, h := range slices.Concat(f.Firms, f.People) {
		m := member{name: h.Name, trained: h.Trained, firm: i < len(f.Firms)}
		for _, d := range disciplines {
			if _, j := r.standing(h, d, f); j.standing == Valid {
				m.certified = append(m.certified, d)
			}
		}
		c.members = append(c.members, m)
	}
	return c
}

// is reports whether a member is certified in one of the disciplines.
func (m member) is(by []Discipline) bool {
	return slices.ContainsFunc(m.certified, func(d Discipline) bool { return slices.Contains(by, d) })
}

// led reports whether there is a certified renovator who is known to be reachable at all times, to direct those who are not
// certified.
func (c roster) led() bool {
	return c.reachable == law.Yes && slices.ContainsFunc(c.members, func(m member) bool { return m.is(renovators) })
}

// may reports whether a member may do an act. led is that of the roster.
func (c roster) may(m member, act Act, led bool) bool {
	switch {
	case act == TestWithKit && c.noKit, act == DirectTheWork && c.reachable != law.Yes:
		return false
	case act == DoTheWork && led && m.trained == law.Yes:
		return true
	}
	return m.is(authorities[act].by)
}

// who may do an act.
func (c roster) who(act Act) []string {
	names, led := []string{}, c.led()
	for _, m := range c.members {
		if c.may(m, act, led) {
			names = append(names, m.name)
		}
	}
	return names
}

// state says whether somebody may do an act, nobody may, or an emergency lifts the rule.
func (c roster) state(act Act) string {
	led := c.led()
	switch {
	case slices.ContainsFunc(c.members, func(m member) bool { return c.may(m, act, led) }):
		return somebody
	case c.emergency == law.Yes && authorities[act].lifted:
		return lifted
	}
	return nobody
}

// allowed reports whether somebody might do what they did.
func (c roster) allowed(d Deed) bool {
	led := c.led()
	return c.emergency == law.Yes && authorities[d.Act].lifted ||
		slices.ContainsFunc(c.members, func(m member) bool { return m.name == d.By && c.may(m, d.Act, led) })
}

// outcome is the answer without its words.
func (c roster) outcome() string {
	switch {
	case slices.ContainsFunc(c.done, func(d Deed) bool { return !c.allowed(d) }):
		return WithoutAuthority
	case slices.ContainsFunc(c.acts, func(act Act) bool { return c.state(act) == nobody }):
		return NotStaffed
	}
	return Staffed
}

// couldBeTrained reports whether it matters, and is not known, whether somebody was trained by a certified renovator.
func (c roster) couldBeTrained(m member) bool {
	return m.trained == law.Unknown && !m.firm && !m.is(renovators) && c.asks(DoTheWork)
}

// asks reports whether an act is asked about, or was done.
func (c roster) asks(act Act) bool {
	return slices.Contains(c.acts, act) || slices.ContainsFunc(c.done, func(d Deed) bool { return d.Act == act })
}

// alternatives are what could be otherwise: what is not known, and who could join.
func (c roster) alternatives() (list []law.Alternative[roster]) {
	change := func(is bool, fact, value string, deed bool, set func(*roster)) {
		if is {
			list = append(list, law.Alternative[roster]{Fact: fact, Value: value, Action: deed, Set: set})
		}
	}
	change(c.reachable == law.Unknown, "reachable", "yes", false, func(c *roster) { c.reachable = law.Yes })
	change(c.emergency == law.Unknown, "emergency", "yes", false, func(c *roster) { c.emergency = law.Yes })
	change(c.kitUnknown, "kit/recognised", "yes", false, func(c *roster) { c.noKit = false })
	for i, m := range c.members {
		change(c.couldBeTrained(m), "trained: "+m.name, "yes", false, func(c *roster) {
			c.members = slices.Clone(c.members)
			c.members[i].trained = law.Yes
		})
	}
	wanted := map[Discipline]bool{}
	for _, act := range c.acts {
		if d := authorities[act].by[0]; c.state(act) == nobody && !slices.ContainsFunc(c.members, func(m member) bool { return m.is([]Discipline{d}) }) {
			wanted[d] = true
		}
	}
	for _, d := range disciplines {
		change(wanted[d], "another "+d.String(), "joins", true, func(c *roster) {
			c.members = append(slices.Clone(c.members), member{name: d.String(), certified: []Discipline{d}})
		})
	}
	return list
}
