package renovation

import (
	"slices"
	"strings"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
)

var (
	habit       = law.Citation{Clause: "beside 40 CFR 745.85", Source: law.CommonPractice}
	ventilation = law.Citation{Clause: "beside 40 CFR 745.85(a)(2)(i)", Source: law.CommonPractice, Note: "New Hampshire He-P 1608.07 asks for it by name; the renovation rule asks for closed and covered ducts."}
	interim     = law.Cite("29 CFR 1926.62(d)(2)(v)", law.Text)
)

// containment isolates the work area: the steps of the question how far it goes.
func (q *planning) containment() error {
	f := q.Site
	f.On = q.Start
	f.Rooms, f.Runs = q.rooms(), q.runs()
	a, err := q.Jobs.Contain(f)
	if err != nil {
		return err
	}
	q.take(a.Determination)
	meets := q.meets("containment")
	for _, s := range a.Steps {
		added := q.add(phaseContain, meets, Task{Code: s.Code, Text: s.Text, Why: containmentWhy[s.Code], Citation: s.Citation, Amounts: plasticOf(s.Code, a.Plastic)}, openingsOf(s.Code, a)...)
		added.Excused, added.Record = s.Excused, s.Record
		if s.Code == "doors" {
			q.add(phaseContain, meets, Task{Code: "entry_flap", Text: "At the entry hang two sheets of plastic over each other, one of them taped all round and slit.", Why: "Workers pass, and dust stays.", Citation: law.Citation{Clause: "beside 40 CFR 745.85(a)(2)(i)", Source: law.CommonPractice, Note: "The rule asks for a door covered so that workers pass; how is from memory."}})
		}
	}
	return nil
}

var containmentWhy = map[string]string{
	"objects": "What stays in the open is hard to clean.", "ducts": "Dust in ducts goes everywhere.", "windows": "Open windows let dust out.", "doors": "Dust stays in the work area.",
	"exterior_openings": "Dust from outside work falls in through open windows below.", "floor_cover": "The floor takes most of the dust.", "slippery_floor": "Nobody falls, and the plastic stays whole.",
	"ground_cover": "What falls is caught before it is in the soil.", "ground_cover_fixed": "Wind and feet move what lies loose.", "vertical_containment": "Debris stays off the neighbours' ground.",
	"sheeting": "Thin plastic tears underfoot.", "wind": "No cover holds against it.", "egress": "People must get out in an emergency.", "leaving": "Dust leaves on people and tools.", "intact": "One tear undoes the rest.",
}

// rooms are those told, and those that work is told for and that are not among them.
func (q *planning) rooms() []WorkRoom {
	rooms := slices.Clone(q.Site.Rooms)
	for _, w := range q.Works {
		if !w.Work.Exterior && !slices.ContainsFunc(rooms, func(r WorkRoom) bool { return r.Name == w.Place }) {
			rooms = append(rooms, WorkRoom{Name: w.Place})
		}
	}
	return rooms
}

func (q *planning) runs() []ExteriorRun {
	runs := slices.Clone(q.Site.Runs)
	for _, w := range q.Works {
		if w.Work.Exterior && !slices.ContainsFunc(runs, func(r ExteriorRun) bool { return r.Name == w.Place }) {
			runs = append(runs, ExteriorRun{Name: w.Place})
		}
	}
	return runs
}

// plasticOf is how much plastic a step takes.
func plasticOf(code string, p Plastic) []Amount {
	sums := map[string]*measure.Shown{"floor_cover": p.Floor, "ground_cover": p.Ground, "vertical_containment": p.Vertical, "sheeting": p.ToBuy}
	sum, takes := sums[code]
	if !takes || sum == nil || sum.Value == "0" {
		return []Amount{}
	}
	of := "plastic"
	if !p.Complete {
		of = "plastic, at least"
	}
	return []Amount{{Of: of, Amount: *sum}}
}

// openingsOf are the openings that a step treats, each with what is done.
func openingsOf(code string, a ContainmentAnswer) []string {
	details := []string{}
	each := func(places []Contained, wanted func(ToClose) bool) {
		for _, place := range places {
			for _, o := range place.Openings {
				if o.Action != leaveIt && wanted(o) {
					details = append(details, place.Name+", "+o.Name+": "+strings.ReplaceAll(o.Action, "_", " ")+".")
				}
			}
		}
	}
	switch code {
	case "windows":
		each(a.Rooms, func(o ToClose) bool { return o.Action == closeIt })
	case "doors":
		each(a.Rooms, func(o ToClose) bool { return o.Action != closeIt })
	case "exterior_openings":
		each(a.Exterior, func(ToClose) bool { return true })
	}
	return details
}

// workers protect themselves, and change where they leave.
func (q *planning) workers() error {
	q.add(phaseWorkers, "", Task{Code: "worker_protection", Text: "Until exposure is assessed, employees have respirators, protective clothing, a place to change, a place to wash, a blood test and training, as the lead standard for construction asks.", Why: "Whoever disturbs the paint breathes most of it.", Citation: interim})
	q.add(phaseWorkers, "", Task{Code: "change_point", Text: "Set up a place at the edge of the work area to take off outer clothes and shoe covers and to wash.", Why: "Dust ends there.", Citation: habit})
	return nil
}

// methods are what each piece of work may use, and how.
func (q *planning) methods() error {
	if q.outcome < Minor && !q.housing() {
		return nil // no rule of this plan says how
	}
	if step, asked := q.asks("no_prohibited_practice"); asked {
		q.add(phaseMethods, step.Code, Task{Code: step.Code, Text: step.Text, Why: "These spread the most and the finest dust.", Citation: step.Citation})
	}
	seen := map[practice.Method]bool{}
	for _, w := range q.Works {
		if seen[w.Work.Method] {
			continue
		}
		seen[w.Work.Method] = true
		f := w.Tools
		f.AsOf, f.Method, f.Assisted, f.Abatement, f.Exterior = q.Start, w.Work.Method, w.Work.Assisted, yesIf(w.Work.Abatement), w.Work.Exterior
		a, err := q.Practices.Judge(f)
		if err != nil {
			return err
		}
		q.take(law.Determination{Reasons: a.Determining.Reasons, Differences: a.Determining.Differences})
		q.method(w.Work.Method, a)
	}
	if q.careful() {
		q.add(phaseLeaving, q.meets("containment"), Task{Code: "leave_clean", Text: "Before leaving the work area take off and bag outer clothes, wipe or vacuum shoes and tools, and wash hands and face.", Why: "Dust is not carried out.", Citation: habit})
	}
	return nil
}

func (q *planning) method(m practice.Method, a practice.Answer) {
	name := strings.ReplaceAll(string(m), "_", " ")
	details := []string{}
	for _, g := range a.Guards {
		details = append(details, g.Text)
	}
	task := Task{Code: "use_method", Text: "The method " + name + " may be used.", Why: "No rule that applies restricts it.", Citation: habit}
	for _, s := range a.Stances {
		if s.Rule == a.Governing {
			task.Citation = s.Citation
		}
	}
	switch a.Outcome {
	case "restricted":
		task.Code, task.Text, task.Why = "guard_method", "The method "+name+" may be used only under its guards.", "Without them it spreads too much dust."
	case "prohibited":
		task.Code, task.Text, task.Why = "replace_method", "The method "+name+" is prohibited: use another.", "It spreads too much dust."
		for _, i := range a.Instead {
			details = append(details, strings.ReplaceAll(string(i.Method), "_", " ")+": "+i.Text)
		}
	}
	if m == practice.Unknown {
		task.Code, task.Text, task.Why, details = "choose_method", "Find out the method before the work; until then it counts as prohibited.", "What is not known may spread the most dust.", []string{}
	}
	if task.Citation.Clause == "" {
		task.Citation = habit
	}
	q.add(phaseMethods, q.meets("no_prohibited_practice"), task, details...)
}
