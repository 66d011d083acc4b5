package renovation

import "sillbook/internal/trade/law"

// The ways of treating an opening.
const (
	closeIt         = "close"
	closeAndCover   = "close_and_cover"
	coverForPassage = "cover_for_passage" // so that workers pass and dust stays
	leaveIt         = "leave"
)

var (
	containIndoors  = law.Cite("40 CFR 745.85(a)(2)(i)", law.Text)
	containOutdoors = law.Cite("40 CFR 745.85(a)(2)(ii)", law.Text)
	floorsBelow     = law.Citation{Clause: "40 CFR 745.85(a)(2)(ii)", Source: law.Text, Note: "That all floors below count at the same horizontal distance, and floors above only where conditions ask for it, is EPA's published answer 23002-23855."}
)

// closeIndoors is what is done with an opening of a room.
func closeIndoors(o Opening) ToClose {
	switch {
	case o.Kind == DoorOpening && o.Used:
		return ToClose{o.Name, coverForPassage, "Workers use the door: it is covered so that they pass and dust and debris stay."}
	case o.Kind == DoorOpening:
		return ToClose{o.Name, closeAndCover, "Doors of the work area are closed and covered."}
	case o.Kind == Duct:
		return ToClose{o.Name, closeAndCover, "Duct openings in the work area are closed and covered with taped-down plastic."}
	}
	return ToClose{o.Name, closeIt, "Windows in the work area are closed."}
}

// closeOutdoors is what is done with an opening beside exterior work: those near it on the same floor, and on all floors below
// at the same horizontal distance, are closed; those above only where conditions ask for it. What is not known is near.
func (c containing) closeOutdoors(run ExteriorRun, o Opening) ToClose {
	switch {
	case o.Distance.Known && o.Distance.N.Cmp(c.n.value("containment_openings_distance").Number()) > 0:
		return ToClose{o.Name, leaveIt, c.n.say("It is more than {containment_openings_distance} feet away.")}
	case o.Floor > 0 && run.Highest > 0 && o.Floor > run.Highest && !run.AboveToo:
		return ToClose{o.Name, leaveIt, "It is on a floor above the work, which is closed only where conditions ask for it."}
	}
	why := c.n.say("It is within {containment_openings_distance} feet of the work, on the same floor or below.")
	switch {
	case !o.Distance.Known:
		why = "How far it is from the work is not told, so it is taken to be near."
	case o.Floor == 0 || run.Highest == 0:
		why = c.n.say("It is within {containment_openings_distance} feet of the work, and which floor it is on is not told, so it is taken to be on the same floor or below.")
	case o.Floor > run.Highest:
		why = "It is above the work, and conditions ask that floors above are closed, too."
	}
	if o.Kind == DoorOpening && o.Used {
		return ToClose{o.Name, coverForPassage, why + " Workers use the door: it is covered so that they pass and dust and debris stay."}
	}
	return ToClose{o.Name, closeIt, why}
}
