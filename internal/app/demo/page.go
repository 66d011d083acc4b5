package demo

import (
	"fmt"
	"io"
	"strings"

	"github.com/oapi-codegen/runtime/types"

	"sillbook/api"
)

// page writes for people: chapters, wrapped paragraphs and aligned lines.
type page struct{ out io.Writer }

const (
	width  = 100
	margin = "   "
)

// sure is a writer that ends the story when nobody reads it any more, so that what was started is stopped and removed.
type sure struct{ io.Writer }

func (w sure) Write(text []byte) (int, error) {
	n, err := w.Writer.Write(text)
	if err != nil {
		stopf("the story could not be written: %w", err)
	}
	return n, nil
}

// chapter begins a chapter on a day of the story.
func (p page) chapter(number int, title string, on types.Date) {
	title = fmt.Sprintf("%d  %s", number, title)
	fmt.Fprintf(p.out, "\n\n%-*s%s\n%s\n", width-len(date(on)), title, date(on), strings.Repeat("-", width))
}

// say writes a paragraph.
func (p page) say(format string, args ...any) {
	fmt.Fprintln(p.out)
	p.hang(margin, margin, fmt.Sprintf(format, args...))
}

// ask writes what was asked of the service.
func (p page) ask(format string, args ...any) {
	fmt.Fprintln(p.out)
	p.hang(margin+"Asked     ", margin+"          ", fmt.Sprintf(format, args...))
}

// answer writes what the service answered.
func (p page) answer(format string, args ...any) {
	p.hang(margin+"Answered  ", margin+"          ", fmt.Sprintf(format, args...))
}

// and writes more of an answer.
func (p page) and(format string, args ...any) {
	p.hang(margin+"          ", margin+"          ", fmt.Sprintf(format, args...))
}

// item writes one line of a list that belongs to an answer.
func (p page) item(format string, args ...any) {
	p.hang(margin+"          - ", margin+"            ", fmt.Sprintf(format, args...))
}

// more writes a line that belongs to an item.
func (p page) more(format string, args ...any) {
	p.hang(margin+"            ", margin+"            ", fmt.Sprintf(format, args...))
}

// row writes aligned figures: a number, and what it counts.
func (p page) row(n any, what string) {
	fmt.Fprintf(p.out, "%s          %5v  %s\n", margin, n, what)
}

// plain writes a line as it is.
func (p page) plain(format string, args ...any) { fmt.Fprintf(p.out, format+"\n", args...) }

// hang writes text wrapped to the page, its first line behind one indent and the others behind another.
func (p page) hang(first, rest, text string) {
	line := first
	empty := true
	for word := range strings.FieldsSeq(clauses.Replace(text)) {
		if !empty && len(line)+1+len(word) > width {
			fmt.Fprintln(p.out, strings.ReplaceAll(line, glue, " "))
			line, empty = rest, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	fmt.Fprintln(p.out, strings.ReplaceAll(line, glue, " "))
}

// glue stands for a space at which no line ends: clauses and quantities stay whole.
const glue = "\x00"

var clauses = strings.NewReplacer("40 CFR ", "40"+glue+"CFR"+glue, "24 CFR ", "24"+glue+"CFR"+glue, " ft2", glue+"ft2", " ug", glue+"ug")

// because writes the reasons of a determination with their clauses, and what it lacked.
func (p page) because(d api.Determination) {
	for _, r := range d.Reasons {
		p.item("%s [%s]", r.Text, cited(r.Citation))
	}
	for _, m := range d.Missing {
		p.item("Not known: %s. %s", known(m.Fact), m.WouldChange)
	}
}

// cited is a clause, with how well it is known where that is less than read.
func cited(c api.Citation) string {
	switch c.Source {
	case api.CitationSourceText:
		return c.Clause
	case api.CitationSourceDerived:
		return c.Clause + "; derived"
	case api.CitationSourceMemory:
		return c.Clause + "; from memory"
	}
	return c.Clause + "; " + words(string(c.Source))
}

// blocked writes what stands in the way of a move, and what would clear it.
func (p page) blocked(blockers []api.Blocker) {
	for i, b := range blockers {
		clause := ""
		if b.Citation != nil {
			clause = " [" + *b.Citation + "]"
		}
		p.item("%s%s", b.Detail, clause)
		if i > 0 && blockers[i-1].Clear == b.Clear {
			b.Clear = "the same."
		}
		p.more("To clear it: %s", b.Clear)
	}
}

// known is what a fact that is not known is about.
func known(fact string) string {
	if said, ok := map[string]string{
		"build_year": "when it was built", "bedrooms": "how many bedrooms it has", "child_under_six": "whether a child under six lives there",
		"regularly_visited_by_child": "whether the same child comes regularly", "housing_for": "for whom it is set aside",
		"found_lead_free": "whether an inspector would find no lead-based paint", "lead_free": "whether the component is free of lead-based paint",
	}[fact]; ok {
		return said
	}
	return words(fact)
}

// words makes a code readable: under_way is under way.
func words(code string) string { return strings.ReplaceAll(code, "_", " ") }

// date is a date as people say it.
func date(d types.Date) string { return d.Format("Monday 2 January 2006") }

// short is a date without its weekday and year.
func short(d types.Date) string { return d.Format("2 January") }

// shown is a computed quantity with its unit.
func shown(c *api.Computed) string {
	if c == nil {
		return "no figure"
	}
	if c.Qualifier != nil {
		return string(*c.Qualifier) + c.Value + " " + c.Unit
	}
	return c.Value + " " + c.Unit
}
