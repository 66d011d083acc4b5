package crew

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Kit is a test kit for lead in paint, and what is known of how well it tells.
type Kit struct {
	Recognised    law.Tri       // by EPA
	RecognisedOn  calendar.Date // none when it is not known
	FalseNegative measure.Quantity
	FalsePositive measure.Quantity
	Confidence    measure.Quantity // with which both were shown
}

func (k Kit) check(f *fault.Faults) {
	if k.Recognised == law.No && !k.RecognisedOn.IsZero() {
		f.Add("/kit/recognised_on", "contradiction", "A kit that is not recognised has no date of recognition; leave it out, or say yes.")
	}
}

// KitAnswer says whether a kit's results show that a component is free of lead-based paint.
type KitAnswer struct {
	May      bool         `json:"may_be_used"`
	Criteria string       `json:"meets_criteria"` // yes, no or unknown
	Text     string       `json:"text"`
	Citation law.Citation `json:"citation"`
}

// kits are the criteria of 40 CFR 745.88(c).
type kits struct {
	book                                *law.Book
	falseNegative, falsePositive, sured law.Handle
}

func newKits(book *law.Book) (kits, error) {
	k := kits{book: book}
	return k, book.Handles(map[string]*law.Handle{"test_kit_false_negative": &k.falseNegative, "test_kit_false_positive": &k.falsePositive, "test_kit_confidence": &k.sured})
}

// judge says whether a kit may be used: only one that EPA recognises. Its criteria are those of the day on which it was
// recognised; one recognised early had only to meet that for false negatives.
func (r kits) judge(k Kit, asOf calendar.Date) KitAnswer {
	a := KitAnswer{May: k.Recognised == law.Yes && !k.RecognisedOn.After(asOf), Citation: law.Cite("40 CFR 745.88(c)", law.Text)}
	on := asOf
	if !k.RecognisedOn.IsZero() {
		on = k.RecognisedOn
	}
	a.Criteria = r.criteria(k, on).String()
	negative, _ := r.book.On(r.falseNegative, on, law.InEffect, law.Scope{})
	sure, _ := r.book.On(r.sured, on, law.InEffect, law.Scope{})
	if negative == nil || sure == nil {
		a.Text = "There was no recognition of test kits on that day."
		a.May = false
		return a
	}
	asked := fmt.Sprintf("at most %s %% false negatives", negative.Value)
	if positive, ok := r.book.On(r.falsePositive, on, law.InEffect, law.Scope{}); ok {
		asked += fmt.Sprintf(" and %s %% false positives", positive.Value)
	}
	asked += fmt.Sprintf(", shown with %s %% confidence", sure.Value)
	switch k.Recognised {
	case law.Yes:
		a.Text = fmt.Sprintf("EPA recognises the kit. The criteria of the day were %s.", asked)
	case law.No:
		a.Text = fmt.Sprintf("EPA does not recognise the kit, so its results show nothing, however well it tells. The criteria are %s.", asked)
	default:
		a.Text = fmt.Sprintf("It is not known whether EPA recognises the kit, so its results show nothing. The criteria are %s.", asked)
	}
	return a
}

// criteria says whether what was shown of a kit meets the criteria of a day.
func (r kits) criteria(k Kit, on calendar.Date) law.Tri {
	answer := law.Yes
	within := func(h law.Handle, told measure.Quantity, most bool) {
		v, ok := r.book.On(h, on, law.InEffect, law.Scope{})
		if !ok || answer == law.No {
			return
		}
		if !told.Known() {
			answer = law.Unknown
			return
		}
		if over := told.In(measure.Percent).Cmp(v.Number()); over > 0 && most || over < 0 && !most {
			answer = law.No
		}
	}
	within(r.falseNegative, k.FalseNegative, true)
	within(r.falsePositive, k.FalsePositive, true)
	within(r.sured, k.Confidence, false)
	return answer
}
