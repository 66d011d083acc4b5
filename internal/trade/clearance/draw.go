package clearance

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"sillbook/internal/fault"
	"sillbook/internal/trade/law"
)

// Recipe says how a draw is made, so that anyone can make it again.
const Recipe = "Each name is joined to the seed and the stratum, with a line break between them and none at the end (seed, line break, stratum, line break, name), " +
	"as UTF-8; names are ordered by the SHA-256 of that text in lower-case hexadecimal, and the first are taken. " +
	"In a shell: printf '%s\\n%s\\n%s' SEED STRATUM NAME | sha256sum"

// byDraw is what draws rest on.
var byDraw = law.Citation{Clause: "40 CFR 745.227(e)(9), random sampling", Source: law.CommonPractice,
	Note: "The clause asks that units be chosen at random; this way of drawing them, and of drawing rooms, is common practice."}

// Drawn is one name in the order of a draw.
type Drawn struct {
	Name    string `json:"name"`
	Stratum string `json:"stratum"`
	Digest  string `json:"digest"` // the SHA-256 that it is ordered by, in hexadecimal
	Taken   bool   `json:"taken"`
}

// Draw puts the names of a stratum in the order of a draw; whoever needs n takes the first n. The order of any two does not turn on what
// others there are, so that one more name moves none, and one more drawn leaves those drawn before. Names are to be checked by [CheckDraw].
func Draw(seed, stratum string, names []string) []Drawn {
	order := make([]Drawn, len(names))
	for i, name := range names {
		digest := sha256.Sum256([]byte(seed + "\n" + stratum + "\n" + name))
		order[i] = Drawn{Name: name, Stratum: stratum, Digest: hex.EncodeToString(digest[:])}
	}
	slices.SortFunc(order, func(a, b Drawn) int { return cmp.Or(cmp.Compare(a.Digest, b.Digest), cmp.Compare(a.Name, b.Name)) })
	return order
}

// CheckDraw is an Implausible fault with everything about names that would leave a draw open: the same one twice, none, or one that could
// not be told apart in the text that is hashed. The faults are at "/0", "/1" and so on, with the suffix.
func CheckDraw(names []string, suffix string) error {
	var faults fault.Faults
	seen := make(map[string]bool, len(names))
	for i, name := range names {
		at := fmt.Sprintf("/%d%s", i, suffix)
		if seen[name] {
			faults.Add(at, "told_twice", "%q is there already; each is drawn from once.", name)
		}
		seen[name] = true
		if !oneLine(name) {
			faults.Add(at, "not_one_line", "A name is one line of text, without blanks at its ends.")
		}
	}
	return faults.Err()
}

// oneLine reports whether a text is one line that somebody else would write the same: not empty, without control characters or blanks
// at its ends.
func oneLine(text string) bool {
	return text != "" && strings.TrimSpace(text) == text && !strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r == 0x7f || r == 0x85 || r == 0x2028 || r == 0x2029 })
}
