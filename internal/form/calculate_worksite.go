package form

import (
	"strconv"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/renovation"
)

// ContainmentFacts reads the facts of the question how far containment goes.
func ContainmentFacts(c api.ContainmentFacts) (renovation.ContainmentFacts, error) {
	var faults fault.Faults
	f := renovation.ContainmentFacts{On: Day(c.On), Dusty: is(c.DustyWork, true), BlocksEgress: Tri(c.BlocksEgress),
		Rooms: workRooms(&faults, list(c.Rooms)), Runs: exteriorRuns(&faults, list(c.Exterior))}
	notNegative(&faults, "/wind", c.Wind, measure.Speed)
	f.Wind.N, f.Wind.Known = amount(c.Wind, measure.Speed, measure.MilePerHour)
	if c.Wind != nil && len(f.Runs) == 0 {
		faults.Add("/wind", "contradiction", "The wind is asked for exterior work only; tell exterior, or leave it out.")
	}
	f.Impossible = impossible(&faults, list(c.Impossible))
	if len(f.Rooms)+len(f.Runs) == 0 {
		faults.Add("/rooms", "missing", "Tell what is worked on: rooms, exterior, or both.")
	}
	return f, faults.Err()
}

func impossible(f *fault.Faults, told []api.ImpossibleStep) []renovation.Excused {
	var steps []renovation.Excused
	seen := map[api.ContainmentStepCode]bool{}
	for i, step := range told {
		if seen[step.Step] {
			f.Add("/impossible/"+strconv.Itoa(i)+"/step", "duplicate", "The step is told twice; give all that makes it impossible in one.")
		}
		seen[step.Step] = true
		steps = append(steps, renovation.Excused{Step: string(step.Step), Why: step.Why})
	}
	return steps
}

func workRooms(f *fault.Faults, told []api.WorkRoom) []renovation.WorkRoom {
	var rooms []renovation.WorkRoom
	for i, r := range told {
		at := "/rooms/" + strconv.Itoa(i)
		room := renovation.WorkRoom{Name: r.Name, Slippery: is(r.SlipperyFloor, true), Carpet: Tri(r.Carpeted), Length: feet(f, at+"/length", r.Length), Width: feet(f, at+"/width", r.Width),
			Height: feet(f, at+"/height", r.Height), Enough: feet(f, at+"/enough_distance", r.EnoughDistance), Barrier: barrier(f, at+"/barrier", r.Barrier)}
		for j, s := range r.Surfaces {
			here := at + "/surfaces/" + strconv.Itoa(j)
			surface := renovation.WorkedSurface{Name: s.Name, AlongWall: s.AlongWall, Length: feet(f, here+"/length", s.Length), Width: feet(f, here+"/width", s.Width)}
			checkInRoom(f, here, surface, room)
			room.Surfaces = append(room.Surfaces, surface)
		}
		room.Sills = whole(r.Sills)
		for j, top := range list(r.CounterTops) {
			positive(f, at+"/counter_tops/"+strconv.Itoa(j), top, measure.Area)
			area, known := amount(top, measure.Area, measure.SquareFoot)
			room.CounterTops = append(room.CounterTops, renovation.Ft{N: area, Known: known})
		}
		for _, o := range list(r.Openings) {
			room.Openings = append(room.Openings, renovation.Opening{Name: o.Name, Kind: renovation.OpeningKind(o.Kind), Used: is(o.Used, true)})
		}
		rooms = append(rooms, room)
	}
	return rooms
}

// checkInRoom refuses a surface that is longer than the room in which it is.
func checkInRoom(f *fault.Faults, at string, s renovation.WorkedSurface, room renovation.WorkRoom) {
	if !s.Length.Known || !room.Length.Known || !room.Width.Known {
		return
	}
	if longest := room.Length.N.Max(room.Width.N); s.Length.N.Cmp(longest) > 0 {
		f.Add(at+"/length", "contradiction", "The surface is %s ft long, and the room at most %s ft; correct one of the two, or tell the surfaces wall by wall.", s.Length.N.Show(), longest.Show())
	}
}

func exteriorRuns(f *fault.Faults, told []api.ExteriorRun) []renovation.ExteriorRun {
	var runs []renovation.ExteriorRun
	for i, r := range told {
		at := "/exterior/" + strconv.Itoa(i)
		run := renovation.ExteriorRun{Name: r.Name, Width: feet(f, at+"/width", r.Width), Highest: whole(r.HighestFloor), Top: feet(f, at+"/top", r.Top), Line: apart(f, at+"/property_line_distance", r.PropertyLineDistance),
			Enough: feet(f, at+"/enough_distance", r.EnoughDistance), Barrier: barrier(f, at+"/barrier", r.Barrier), AboveToo: is(r.AboveToo, true)}
		for j, o := range list(r.Openings) {
			here := at + "/openings/" + strconv.Itoa(j)
			if o.Kind == api.OpeningKindDuct {
				f.Add(here+"/kind", "contradiction", "Beside exterior work windows and doors are closed; leave the duct out.")
			}
			run.Openings = append(run.Openings, renovation.Opening{Name: o.Name, Kind: renovation.OpeningKind(o.Kind), Used: is(o.Used, true), Floor: whole(o.Floor), Distance: apart(f, here+"/distance", o.Distance)})
		}
		runs = append(runs, run)
	}
	return runs
}

func barrier(f *fault.Faults, at string, b *api.SealedBarrier) *renovation.Barrier {
	if b == nil {
		return nil
	}
	return &renovation.Barrier{Distance: apart(f, at+"/distance", b.Distance), Sealed: Tri(b.Sealed)}
}

// feet reads a length of more than nothing.
func feet(f *fault.Faults, at string, told *api.Measure) renovation.Ft {
	positive(f, at, told, measure.Length)
	unqualified(f, at, told)
	n, known := amount(told, measure.Length, measure.Foot)
	return renovation.Ft{N: n, Known: known}
}

// apart reads a distance, which may be none.
func apart(f *fault.Faults, at string, told *api.Measure) renovation.Ft {
	notNegative(f, at, told, measure.Length)
	unqualified(f, at, told)
	n, known := amount(told, measure.Length, measure.Foot)
	return renovation.Ft{N: n, Known: known}
}

// unqualified refuses "less than" where a measure is told as it is.
func unqualified(f *fault.Faults, at string, told *api.Measure) {
	if told != nil && told.Qualifier != nil {
		f.Add(at+"/qualifier", "contradiction", "A length is told as it is, without a qualifier.")
	}
}

// CleaningFacts reads the facts of the question in what order a job is cleaned.
func CleaningFacts(c api.CleaningFacts) (renovation.CleaningFacts, error) {
	var faults fault.Faults
	f := renovation.CleaningFacts{On: Day(c.On), Rooms: workRooms(&faults, list(c.Rooms)), Outdoors: is(c.Outdoors, true), Days: whole(c.Days), Isolated: Tri(c.Isolated)}
	if len(f.Rooms) == 0 && !f.Outdoors {
		faults.Add("/rooms", "missing", "Tell what is cleaned: rooms, outdoors, or both.")
	}
	return f, faults.Err()
}
