package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// errByHand is the way out where the text is laid out so that no entry can be put in or taken out without touching
// others.
var errByHand = errors.New("the text is laid out so that this cannot be done without touching other lines; write it by hand")

// Put adds a value that does not stand in the sheet yet; every other byte stays. Paths are those of Edit. It goes
// behind the last entry of the group it belongs to: into the braces, or on a line of its own. ErrChanged says that the
// sheet has a value there by now.
func Put(text []byte, path, value string) ([]byte, error) {
	f := &File{Name: "sheet", Text: text}
	tree, err := f.tree()
	if err != nil {
		return nil, err
	}
	if old, err := Get(text, path); err == nil {
		return nil, fmt.Errorf("%w: %s is %q by now", ErrChanged, path, old)
	}
	changed, err := f.put(tree, rooted(path), quoted(value))
	if err != nil {
		return nil, err
	}
	if got, err := Get(changed, path); err != nil || got != value {
		return nil, fmt.Errorf("%q cannot stand as the value of %s; write it on one line, without control characters", value, path)
	}
	return f.onlyBelow(tree, changed, rooted(path))
}

// onlyBelow hands the changed text on when nothing but what stands at or below a path differs in what it says.
func (f *File) onlyBelow(before ast.Node, changed []byte, path string) ([]byte, error) {
	after, bad := parse(&File{Name: f.Name, Text: changed})
	if bad != nil {
		return nil, errByHand
	}
	was, is := map[string]string{}, map[string]string{}
	flatten(before, "", path, was)
	flatten(after, "", path, is)
	if !maps.Equal(was, is) {
		return nil, errByHand
	}
	return changed, nil
}

// flatten gathers all single values by their paths, but for those at or below one.
func flatten(n ast.Node, at, but string, into map[string]string) {
	if at == but {
		return
	}
	if list, ok := entries(n); ok {
		for _, e := range list {
			flatten(e.value, joinPath(at, e.name), but, into)
		}
		return
	}
	if list, ok := n.(*ast.SequenceNode); ok {
		for i, v := range list.Values {
			flatten(v, fmt.Sprintf("%s[%d]", at, i), but, into)
		}
		return
	}
	text, _, _ := scalar(n)
	into[at] = text
}

// Remove takes an entry out of the sheet, with its comment when it has lines of its own; every other byte stays. The
// error is ErrChanged when it is a single value and no longer the old one; old is "" for what is no single value.
func Remove(text []byte, path, old string) ([]byte, error) {
	f := &File{Name: "sheet", Text: text}
	tree, err := f.tree()
	if err != nil {
		return nil, err
	}
	if now, err := Get(text, path); err == nil && now != old {
		return nil, fmt.Errorf("%w: %s is %q, not %q", ErrChanged, path, now, old)
	}
	full := path
	if find(tree, full) == nil {
		full = rooted(path)
	}
	chain := trail(tree, full)
	if len(chain) == 0 {
		return nil, fmt.Errorf("the sheet has no entry %s", path)
	}
	for i := len(chain) - 1; i >= 0; i-- {
		list, _ := entries(chain[i].in)
		if len(list) > 1 || isFlow(chain[i].in) {
			changed, err := f.cut(chain[i])
			if err != nil {
				return nil, err
			}
			names := make([]string, 0, i+1)
			for _, s := range chain[:i+1] {
				names = append(names, s.name)
			}
			return f.onlyBelow(tree, changed, strings.Join(names, "."))
		}
	}
	return nil, fmt.Errorf("%s is the last entry of the sheet", path)
}

// Switch puts a part at the end of a build's list, or takes it out; every other byte stays.
func Switch(text []byte, build, part string, on bool) ([]byte, error) {
	if !plainName(part) {
		return nil, fmt.Errorf("%q is no id of a part", part)
	}
	f := &File{Name: "sheet", Text: text}
	tree, err := f.tree()
	if err != nil {
		return nil, err
	}
	node := find(tree, "builds."+build)
	if node == nil {
		return nil, fmt.Errorf("the sheet has no build %q", build)
	}
	list, ok := node.(*ast.SequenceNode)
	if !ok {
		return nil, fmt.Errorf("the build %q is no list of parts; write it as [a-part, another]", build)
	}
	at := slices.IndexFunc(list.Values, func(n ast.Node) bool { text, _, ok := scalar(n); return ok && text == part })
	switch {
	case on && at >= 0:
		return nil, fmt.Errorf("%w: %s is in %s by now", ErrChanged, part, build)
	case !on && at < 0:
		return nil, fmt.Errorf("%w: %s is not in %s any more", ErrChanged, part, build)
	}
	var changed []byte
	if on {
		changed, err = f.append(list, part)
	} else {
		changed, err = f.drop(list, at)
	}
	if err != nil {
		return nil, err
	}
	return f.onlyBelow(tree, changed, "builds."+build)
}

// AddBuild adds a build with its parts behind the last one, so that it is the aim.
func AddBuild(text []byte, name string, parts []string) ([]byte, error) {
	if !plainName(name) {
		return nil, fmt.Errorf("%q is no name for a build; use letters, digits and hyphens, such as wet-race", name)
	}
	f := &File{Name: "sheet", Text: text}
	tree, err := f.tree()
	if err != nil {
		return nil, err
	}
	if find(tree, "builds."+name) != nil {
		return nil, fmt.Errorf("%w: there is a build %q already", ErrChanged, name)
	}
	changed, err := f.put(tree, "builds."+name, "["+strings.Join(parts, ", ")+"]")
	if err != nil {
		return nil, err
	}
	return f.onlyBelow(tree, changed, "builds."+name)
}

// plainName says that a name needs no quotes anywhere.
func plainName(name string) bool {
	return name != "" && strings.IndexFunc(name, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_')
	}) < 0 && name[0] != '-'
}

// rooted is the path from the root of the sheet of an input.
func rooted(path string) string {
	first, _, _ := strings.Cut(path, ".")
	first, _, _ = strings.Cut(first, "[")
	if slices.Contains(sheetKeys, first) {
		return path
	}
	return "machine." + path
}

func (f *File) tree() (ast.Node, error) {
	if bad := guard(f); bad != nil {
		return nil, bad
	}
	tree, bad := parse(f)
	if bad != nil {
		return nil, Errors{*bad}
	}
	return tree, nil
}

// step is an entry of a map on the way to a path.
type step struct {
	in ast.Node // the map
	entry
}

// trail is the way from the root to a path: one step for each map on it; empty when there is no such entry.
func trail(n ast.Node, path string) []step {
	list, ok := entries(n)
	if !ok {
		return nil
	}
	for _, e := range list {
		rest, ok := strings.CutPrefix(path, e.name)
		switch {
		case !ok:
		case rest == "":
			return []step{{n, e}}
		case rest[0] == '.':
			if deeper := trail(e.value, rest[1:]); deeper != nil {
				return append([]step{{n, e}}, deeper...)
			}
		}
	}
	return nil
}

// put adds a value, as YAML writes it, under the deepest map there is on the way to a path.
func (f *File) put(tree ast.Node, path, value string) ([]byte, error) {
	at, rest := tree, path
	patch := false // the map holds whole paths as keys
	for {
		list, ok := entries(at)
		if !ok {
			return nil, fmt.Errorf("%s cannot be added: %w", path, errByHand)
		}
		i := slices.IndexFunc(list, func(e entry) bool { return strings.HasPrefix(rest, e.name+".") })
		if i < 0 {
			break
		}
		patch = strings.HasPrefix(path, "parts.") && (list[i].name == "sets" || list[i].name == "adds")
		at, rest = list[i].value, rest[len(list[i].name)+1:]
	}
	if strings.Contains(rest, "[") {
		return nil, fmt.Errorf("%s belongs into a list: %w", path, errByHand)
	}
	steps := []string{rest}
	if !patch {
		steps = strings.Split(rest, ".")
	}
	for i := len(steps) - 1; i > 0; i-- {
		value = "{" + steps[i] + ": " + value + "}"
	}
	return f.insert(at, steps[0]+": "+value)
}

// insert puts one entry behind the last of a map.
func (f *File) insert(at ast.Node, entry string) ([]byte, error) {
	if m, ok := at.(*ast.MappingNode); ok && m.IsFlowStyle {
		return f.inBraces(m.End, len(m.Values) > 0, entry)
	}
	list, _ := entries(at)
	if len(list) == 0 {
		return nil, errByHand
	}
	line, ok := endLine(list[len(list)-1].value)
	if line = max(line, list[len(list)-1].key.Position.Line); !ok {
		return nil, errByHand
	}
	return f.newLine(line, list[0].key.Position.Column-1, entry), nil
}

// inBraces puts an entry before a closing brace or bracket.
func (f *File) inBraces(end *token.Token, more bool, entry string) ([]byte, error) {
	if end == nil {
		return nil, errByHand
	}
	at := f.lineStart(end.Position.Line) + f.inLine(end)
	before := bytes.TrimRight(f.Text[:at], " \n\r")
	if bytes.HasSuffix(before, []byte(",")) {
		more = false
	}
	if more && f.commented(before) {
		return nil, errByHand
	}
	if more {
		at = len(before)
		entry = ", " + entry
	}
	return splice(f.Text, at, at, entry), nil
}

// commented says that the last line of a text may end in a comment, so that nothing can be put behind it.
func (f *File) commented(before []byte) bool {
	return bytes.Contains(before[bytes.LastIndexByte(before, '\n')+1:], []byte(" #"))
}

// newLine puts an entry on a line of its own behind a line.
func (f *File) newLine(line, indent int, entry string) []byte {
	end := "\n"
	if bytes.Contains(f.Text, []byte("\r\n")) {
		end = "\r\n"
	}
	at := f.lineStart(line + 1)
	entry = strings.Repeat(" ", indent) + entry + end
	if at == len(f.Text) && !bytes.HasSuffix(f.Text, []byte("\n")) {
		entry = end + strings.TrimSuffix(entry, end)
	}
	return splice(f.Text, at, at, entry)
}

// append puts an item at the end of a list.
func (f *File) append(list *ast.SequenceNode, item string) ([]byte, error) {
	if list.IsFlowStyle {
		return f.inBraces(list.End, len(list.Values) > 0, item)
	}
	last, ok := endLine(list.Values[len(list.Values)-1])
	if !ok {
		return nil, errByHand
	}
	dash := list.Start.Position.Column - 1
	return f.newLine(last, dash, "- "+item), nil
}

// drop takes an item out of a list.
func (f *File) drop(list *ast.SequenceNode, i int) ([]byte, error) {
	_, t, _ := scalar(list.Values[i])
	span, err := f.span(t)
	if err != nil {
		return nil, err
	}
	if list.IsFlowStyle {
		return f.cutFlow(span)
	}
	from, to := f.lineStart(t.Position.Line), f.lineStart(t.Position.Line+1)
	if len(list.Values) > 1 {
		return splice(f.Text, from, to, ""), nil
	}
	// The only item: the list stays, empty, behind its name.
	end := bytes.TrimRight(f.Text[:from], " \r\n")
	if !bytes.HasSuffix(end, []byte(":")) {
		return nil, errByHand
	}
	return splice(splice(f.Text, from, to, ""), len(end), len(end), " []"), nil
}

// cut takes an entry out of its map.
func (f *File) cut(s step) ([]byte, error) {
	key, err := f.span(s.key)
	if err != nil {
		return nil, err
	}
	last, ok := endLine(s.value)
	if last = max(last, s.key.Position.Line); !ok {
		return nil, errByHand
	}
	if !isFlow(s.in) {
		if line := f.line(s.key.Position.Line); strings.TrimSpace(line[:f.inLine(s.key)]) != "" {
			return nil, errByHand
		}
		return splice(f.Text, f.lineStart(s.key.Position.Line), f.lineStart(last+1), ""), nil
	}
	end, err := f.end(s.value)
	if err != nil {
		return nil, err
	}
	return f.cutFlow([2]int{key[0], end})
}

// cutFlow takes bytes out of braces or brackets, with the comma that belonged to them.
func (f *File) cutFlow(span [2]int) ([]byte, error) {
	from, to := span[0], span[1]
	after := bytes.TrimLeft(f.Text[to:], " \r\n")
	before := bytes.TrimRight(f.Text[:from], " \r\n")
	switch {
	case bytes.HasPrefix(after, []byte(",")):
		to = len(f.Text) - len(after) + 1
		for to < len(f.Text) && f.Text[to] == ' ' {
			to++
		}
		if to < len(f.Text) && f.Text[to] == '#' {
			return nil, errByHand
		}
	case bytes.HasSuffix(before, []byte(",")):
		from = len(before) - 1
	case !bytes.ContainsAny(before[len(before)-1:], "[{"):
		return nil, errByHand // a comment stands between
	}
	return splice(f.Text, from, to, ""), nil
}

// end is the byte behind a value.
func (f *File) end(n ast.Node) (int, error) {
	var closing *token.Token
	switch v := n.(type) {
	case *ast.MappingNode:
		closing = v.End
	case *ast.SequenceNode:
		closing = v.End
	default:
		_, t, ok := scalar(n)
		if !ok {
			return 0, errByHand
		}
		span, err := f.span(t)
		return span[1], err
	}
	if closing == nil {
		return 0, errByHand
	}
	return f.lineStart(closing.Position.Line) + f.inLine(closing) + 1, nil
}

func isFlow(n ast.Node) bool {
	m, ok := n.(*ast.MappingNode)
	return ok && m.IsFlowStyle
}

// endLine is the last line of a value; ok is false for text over several lines.
func endLine(n ast.Node) (line int, ok bool) {
	switch v := n.(type) {
	case *ast.MappingNode:
		if v.IsFlowStyle {
			if v.End == nil {
				return 0, false
			}
			return v.End.Position.Line, true
		}
	case *ast.SequenceNode:
		if v.IsFlowStyle {
			if v.End == nil {
				return 0, false
			}
			return v.End.Position.Line, true
		}
		if len(v.Values) == 0 {
			return 0, false
		}
		return endLine(v.Values[len(v.Values)-1])
	case *ast.LiteralNode:
		return 0, false
	}
	if list, isMap := entries(n); isMap {
		if len(list) == 0 {
			return 0, false
		}
		line, ok := endLine(list[len(list)-1].value)
		return max(line, list[len(list)-1].key.Position.Line), ok
	}
	_, t, ok := scalar(n)
	if !ok || strings.Contains(t.Value, "\n") {
		return 0, false
	}
	if t.Type == token.ImplicitNullType {
		return 0, true // on the line of its key
	}
	return t.Position.Line, true
}

// splice puts text in place of the bytes from and to.
func splice(text []byte, from, to int, entry string) []byte {
	changed := make([]byte, 0, len(text)+len(entry))
	return append(append(append(changed, text[:from]...), entry...), text[to:]...)
}
