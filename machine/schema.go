package machine

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"shakedown/quantity"
)

// Shape is the form in which an input is written.
type Shape uint8

// The shapes of an input.
const (
	Number Shape = iota // a quantity
	Word                // free text
	Choice              // one of Words
	YesNo
	Bolts // "4 x 110 mm"
)

// Bound is what physics allows of a number.
type Bound uint8

// The bounds; all numbers are finite.
const (
	Any         Bound = iota
	Positive          // above zero
	NotNegative       // zero or more
	Share             // from 0 to 1
)

// Field describes one input: the single place where its name, unit and bounds stand.
type Field struct {
	Path  string // dotted; a list entry is written name[]
	Shape Shape
	Spec  quantity.Spec
	Bound Bound
	Words []string // for Choice
	Span  Span
	Doc   string
	How   string // how an owner gets it
}

// node is a place in the tree of the sheet: a group with children, a list, or a leaf with a field.
type node struct {
	children map[string]*node
	names    []string // of children, in the order of the schema
	item     *node    // of a list
	field    *Field
}

// schema is the table of inputs, each with its span, and the tree that they make. A start that reads no sheet does
// without.
var schema = sync.OnceValue(func() (s struct {
	fields []Field
	root   *node
}) {
	s.fields = table()
	top := &node{}
	for i := range s.fields {
		s.fields[i].Span = spanOf()[s.fields[i].Path]
		at := top
		for step := range strings.SplitSeq(s.fields[i].Path, ".") {
			name, list := strings.CutSuffix(step, "[]")
			if at.children == nil {
				at.children = map[string]*node{}
			}
			next := at.children[name]
			if next == nil {
				next = &node{}
				at.children[name] = next
				at.names = append(at.names, name)
			}
			if list {
				if next.item == nil {
					next.item = &node{}
				}
				next = next.item
			}
			at = next
		}
		at.field = &s.fields[i]
	}
	s.root = top
	return s
})

// Place is a node of the schema as the reader of sheets walks it.
type Place struct{ n *node }

// Top is the root of the schema.
func Top() Place { return Place{schema().root} }

// Field is the input here, or nil for groups and lists.
func (p Place) Field() *Field { return p.n.field }

// IsList says that a list is written here.
func (p Place) IsList() bool { return p.n.item != nil }

// Item is the place of each entry of the list.
func (p Place) Item() Place { return Place{p.n.item} }

// IsGroup says that a map of named entries is written here.
func (p Place) IsGroup() bool { return p.n.children != nil }

// Child is the entry of that name.
func (p Place) Child(name string) (Place, bool) {
	c, ok := p.n.children[name]
	return Place{c}, ok
}

// Names lists the entries of a group in the order of the schema.
func (p Place) Names() []string { return p.n.names }

// At walks a dotted path such as engine.exhaust.header[0].bore.
func (p Place) At(path string) (Place, error) {
	for step := range strings.SplitSeq(path, ".") {
		name, index, list := strings.Cut(step, "[")
		child, ok := p.Child(name)
		switch {
		case !ok:
			return Place{}, &UnknownName{Name: name, Nearest: quantity.Nearest(name, p.Names()), Names: p.Names()}
		case list && (!child.IsList() || !strings.HasSuffix(index, "]")):
			return Place{}, &UnknownName{Name: step, Nearest: name, Names: p.Names()}
		case list:
			child = child.Item()
		}
		p = child
	}
	return p, nil
}

// UnknownName is the error for a name that the schema does not have.
type UnknownName struct {
	Name, Nearest string
	Names         []string
}

// Error says which name is unknown.
func (e *UnknownName) Error() string { return fmt.Sprintf("unknown name %q", e.Name) }

// Fields lists every input of the sheet in the order of the schema.
func Fields() []Field { return slices.Clone(schema().fields) }

// FieldAt is the field of a concrete path, or nil.
func FieldAt(path string) *Field {
	place, err := Top().At(path)
	if err != nil {
		return nil
	}
	return place.Field()
}
