package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"shakedown/quantity"
)

// ListColumns are the columns that a parts list may have.
func ListColumns() []string { return slices.Clone(listColumns) }

// ParseColumns reads which column of a vendor's list is what: "name=Item,price=Our price,lead=#4". What stands before
// the sign is a column of a parts list, what stands behind it the list's own heading, or its place from the left.
func ParseColumns(text string) (told map[string]string, err error) {
	told = map[string]string{}
	for pair := range strings.SplitSeq(text, ",") {
		ours, theirs, ok := strings.Cut(pair, "=")
		ours, theirs = strings.ToLower(strings.TrimSpace(ours)), strings.TrimSpace(theirs)
		switch {
		case strings.TrimSpace(pair) == "":
			continue
		case !ok || theirs == "":
			return nil, fmt.Errorf("%q does not say which column is what; write it as price=Our price, or price=#3 for the third column", clip(strings.TrimSpace(pair)))
		case !slices.Contains(listColumns, ours):
			return nil, fmt.Errorf("a parts list has no column %q; %s", clip(ours), nearColumn(ours))
		case told[ours] != "":
			return nil, fmt.Errorf("%s is told twice: %s and %s", ours, clip(told[ours]), clip(theirs))
		}
		told[ours] = theirs
	}
	return told, nil
}

// nearColumn says which column was meant, or which there are.
func nearColumn(word string) string {
	if near := quantity.Nearest(word, listColumns); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return "the columns are " + strings.Join(listColumns, ", ")
}

// UnknownColumns is the error for a list with headings that are not those of a parts list.
type UnknownColumns struct {
	List  string
	Heads []string // of the list, as they stand
	First []string // cells of the first line below them; "" where there are none
	Known []bool   // of each heading, that it is a column of a parts list
}

// Error lists the columns with their first cells, so that one can say which is what.
func (u *UnknownColumns) Error() string {
	var b strings.Builder
	var hints []string
	for i, head := range u.Heads {
		if !u.Known[i] {
			hint := ""
			if near := quantity.Nearest(strings.ToLower(head), listColumns); near != "" {
				hint = fmt.Sprintf("; did you mean %q?", near)
			}
			hints = append(hints, fmt.Sprintf("%s:1: there is no column %q%s", u.List, clip(head), hint))
		}
	}
	b.WriteString(strings.Join(hints, "\n") + "\nThe list's columns, and its first line:\n")
	for i, head := range u.Heads {
		fmt.Fprintf(&b, "  #%-3d %-20s %s\n", i+1, clip(head), clip(u.First[i]))
	}
	fmt.Fprintf(&b, "      expected: the columns %s\n      remedy:   say which column is what, such as name=%s,price=#%d (add-parts --columns, or beside the list on the page); what is not named is left out", strings.Join(listColumns, ", "), clip(u.Heads[0]), len(u.Heads))
	return b.String()
}

// assign says which column of a parts list each heading is; "" for one that is left out. Nothing is guessed: without a
// word of the asker every heading must be one of ours.
func assign(list string, heads, first []string, told map[string]string) ([]string, error) {
	columns, known := make([]string, len(heads)), make([]bool, len(heads))
	strange := false
	for i, head := range heads {
		ours := strings.ToLower(strings.TrimSpace(head))
		if known[i] = slices.Contains(listColumns, ours); known[i] && told[ours] == "" {
			columns[i] = ours
		}
		strange = strange || !known[i]
	}
	if len(told) == 0 && strange {
		for len(first) < len(heads) {
			first = append(first, "")
		}
		return nil, &UnknownColumns{list, heads, first, known}
	}
	for _, ours := range listColumns {
		theirs := told[ours]
		if theirs == "" {
			continue
		}
		at := slices.IndexFunc(heads, func(head string) bool { return strings.EqualFold(strings.TrimSpace(head), theirs) })
		if place, err := strconv.Atoi(strings.TrimPrefix(theirs, "#")); at < 0 && err == nil && strings.HasPrefix(theirs, "#") && place >= 1 && place <= len(heads) {
			at = place - 1
		}
		switch {
		case at < 0:
			return nil, fmt.Errorf("%s:1: there is no column %q for %s; the list has %s", list, clip(theirs), ours, strings.Join(heads, ", "))
		case columns[at] != "":
			return nil, fmt.Errorf("%s:1: the column %q is told to be %s and %s", list, clip(heads[at]), columns[at], ours)
		}
		columns[at] = ours
	}
	return columns, nil
}

// idFrom is a short name for a part of a list that has none, of its name; taken says whether a name is in use.
func idFrom(name string, taken func(id string) bool) string {
	id := quantity.Slug(name)
	if !taken(id) {
		return id
	}
	for n := 2; ; n++ {
		if next := fmt.Sprintf("%s-%d", id, n); !taken(next) {
			return next
		}
	}
}
