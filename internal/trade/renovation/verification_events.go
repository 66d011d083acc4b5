package renovation

import (
	"fmt"
	"time"

	"sillbook/internal/fault"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// follow takes the events one after the other.
func (v *verifying) follow() error {
	var faults fault.Faults
	last := time.Time{}
	for i, e := range v.facts.Events {
		if e.At.Before(last) {
			faults.Add(fmt.Sprintf("/events/%d/at", i), "contradiction", "It is told to have happened before the event above it; send the events in the order in which they happened.")
		}
		last = e.At
		parts, surface, err := v.parts(e)
		faults.Merge(fmt.Sprintf("/events/%d", i), err)
		if err != nil {
			continue
		}
		switch e.What {
		case Looked:
			v.look(e)
		case Cleaned:
			cleanedAgain(parts)
		case Wipe:
			v.wipe(i, e, parts, surface)
		}
	}
	return faults.Err()
}

// parts are the sills and sections that an event concerns.
func (v *verifying) parts(e Event) ([]*PartState, Wiped, error) {
	var f fault.Faults
	if e.What == Wipe {
		if e.Item == "" {
			f.Add("/item", "missing", "Name the surface that was wiped.")
		}
		if e.Cloth == "" {
			f.Add("/cloth", "missing", "Say whether the cloth was wet or dry.")
		}
		if e.Face == "" {
			f.Add("/face", "missing", "Say whether it was a new cloth, or one folded to an unused or a used face.")
		}
		if e.Cloth == Wet && e.Match == "" {
			f.Add("/result", "missing", "Say how the wet cloth compared with the card.")
		}
	}
	var parts []*PartState
	var surface Wiped
	for i := range v.answer.Items {
		item := &v.answer.Items[i]
		if e.Item != "" && item.Name != e.Item {
			continue
		}
		surface = item.Surface
		for j := range item.Parts {
			if e.Section == 0 || item.Parts[j].Section == e.Section {
				parts = append(parts, &item.Parts[j])
			}
		}
		if e.Item != "" && e.Section > len(item.Parts) {
			f.Add("/section", "not_there", "%q has %d sections.", e.Item, len(item.Parts))
		}
		if e.What == Wipe && e.Section == 0 && len(item.Parts) > 1 {
			f.Add("/section", "missing", "Say which of the %d sections of %q was wiped: each takes a cloth of its own.", len(item.Parts), e.Item)
		}
	}
	if e.Item != "" && surface == "" {
		f.Add("/item", "not_there", "No surface is called %q; name one of items.", e.Item)
	}
	return parts, surface, f.Err()
}

// look takes a visual inspection. Where dust is seen after wipes, what they showed is gone: it is cleaned, looked at and wiped
// from the beginning.
func (v *verifying) look(e Event) {
	v.seen = e.Passed
	for i := range v.answer.Items {
		for j := range v.answer.Items[i].Parts {
			part := &v.answer.Items[i].Parts[j]
			switch {
			case part.State == notWiped || part.State == tooLarge || part.State == measureFirst:
			case !e.Passed:
				*part = PartState{Section: part.Section, State: lookFirst}
			case part.State == lookFirst:
				part.State = wipeWet
			}
		}
	}
}

func cleanedAgain(parts []*PartState) {
	for _, part := range parts {
		if part.State == cleanAgain {
			part.State = wipeAgain
		}
	}
}

// wipe takes one wipe of one sill or section.
func (v *verifying) wipe(i int, e Event, parts []*PartState, surface Wiped) {
	if e.Face == NewCloth {
		if e.Cloth == Dry {
			v.answer.Cloths.DryUsed++
		} else {
			v.answer.Cloths.WetUsed++
		}
	}
	part := parts[0]
	if odd, odds := v.oddity(e, part, surface); odds {
		odd.Event = i
		v.answer.Odd = append(v.answer.Odd, odd)
		return
	}
	if e.Cloth == Dry {
		part.State, part.NotBefore = verified, nil
		return
	}
	part.WetWipes++
	switch {
	case e.Match != Darker:
		part.State = verified
	case part.WetWipes < v.wets:
		part.State = cleanAgain
	default:
		after := e.At.Add(v.waiting())
		part.State, part.NotBefore = waitThenDry, &after
	}
}

// waiting is the least wait before a dry wipe.
func (v *verifying) waiting() time.Duration {
	seconds := v.n.rules.book.Quantity(v.n.rules.said["verification_wait"], &v.wait).In(measure.Second)
	return time.Duration(seconds.Scaled(0)) * time.Second
}

// oddity is why a wipe does not count, where it does not.
func (v *verifying) oddity(e Event, part *PartState, surface Wiped) (OddEvent, bool) {
	odd := func(code string, cite law.Citation, text string) (OddEvent, bool) {
		return OddEvent{Code: code, Text: v.n.say(text), Citation: cite}, true
	}
	switch {
	case part.State == notWiped:
		return odd("not_a_wiped_surface", verifyNotWiped, "Walls, ceilings, carpet and what is outdoors are looked at and not wiped.")
	case part.State == measureFirst:
		return odd("area_not_told", verifySections, "Its area in the work area is not told, so it is not known into how many sections it is divided.")
	case part.State == tooLarge:
		return odd("sections_too_large", verifySections, "The surface was divided into sections that are not each smaller than {verification_section_area} square feet; divide it again and wipe each.")
	case part.State == lookFirst:
		return odd("before_looking", verifyLook, "Nothing is wiped before the certified renovator has looked and found no dust, debris or residue.")
	case part.State == verified:
		return odd("verified_already", verifyWipesOnly, "It was verified already, and needed no wipe.")
	case e.Face == UsedFace:
		return odd("used_face", verifyWipesOnly, "A face that was used before shows nothing.")
	case e.Cloth == Dry && part.State != waitThenDry:
		return odd("dry_too_soon", verifyWipesOnly, "A dry cloth comes only after {verification_wet_wipes} wet wipes have failed.")
	case e.Cloth == Dry && e.At.Before(*part.NotBefore):
		return odd("not_waited", verifyWipesOnly, "The dry wipe waits {verification_wait} h after the last wet wipe, or until the surface is dry, whichever is longer.")
	case e.Cloth == Dry && e.Dry == law.No:
		return odd("not_dry", verifyWipesOnly, "The dry wipe waits until the surface is dry, of floors and counter tops all of it in the work area.")
	case e.Cloth == Dry && e.Dry == law.Unknown:
		v.dryTil = true
		return odd("dryness_not_told", verifyWipesOnly, "It is not told that the surface was dry, so the dry wipe does not count.")
	case e.Cloth == Wet && part.State == waitThenDry:
		return odd("wet_wipe_too_many", verifyNoThird, "There is no wet wipe after {verification_wet_wipes} have failed: wait, then wipe dry.")
	case e.Cloth == Wet && part.State == cleanAgain:
		return odd("not_cleaned_between", verifyWipesOnly, "It is cleaned again before it is wiped again.")
	case e.Face == UnusedFace && part.WetWipes == 0:
		return odd("first_wipe_folded", verifyWipesOnly, "The first wipe of each sill and section takes a new cloth.")
	case e.Face == UnusedFace && surface.isSectioned():
		return odd("folded_on_a_section", verifyFloor, "A cloth folded to an unused face may be used on sills only; each wipe of a floor or counter top takes a new cloth.")
	}
	return OddEvent{}, false
}
