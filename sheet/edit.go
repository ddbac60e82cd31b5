package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// ErrChanged says that the value to be edited is no longer what the editor saw.
var ErrChanged = errors.New("the value has changed meanwhile")

// Edit replaces one value in the text of a file; every other byte stays. The path is that of an input
// ("engine.bore", "driveline.gears[0]") or of anything in the sheet from its root ("parts.wide-axle.price",
// "parts.wide-axle.sets.geometry.track_rear"). The old text is what the editor saw; when the value differs from it the
// text is left alone and the error wraps ErrChanged. The new text is quoted when it has to be.
func Edit(text []byte, path, old, replacement string) ([]byte, error) {
	f := &File{Name: "sheet", Text: text}
	if bad := guard(f); bad != nil {
		return nil, bad
	}
	t, span, err := locate(f, path)
	if err != nil {
		return nil, err
	}
	if t.Value != old {
		return nil, fmt.Errorf("%w: %s is %q, not %q; look at it again and repeat the edit", ErrChanged, path, t.Value, old)
	}
	changed := make([]byte, 0, len(text)+len(replacement))
	changed = append(append(append(changed, text[:span[0]]...), quoted(replacement)...), text[span[1]:]...)
	after, _, err := locate(&File{Name: "sheet", Text: changed}, path)
	if err != nil || after.Value != replacement {
		return nil, fmt.Errorf("%q cannot stand as the value of %s; write it on one line, without control characters", replacement, path)
	}
	return changed, nil
}

// Get is the text of the value at a path, as Edit sees it.
func Get(text []byte, path string) (string, error) {
	f := &File{Name: "sheet", Text: text}
	if bad := guard(f); bad != nil {
		return "", bad
	}
	t, _, err := locate(f, path)
	if err != nil {
		return "", err
	}
	return t.Value, nil
}

// Values are all single values of a sheet's text by their paths from its root.
func Values(text []byte) (map[string]string, error) {
	f := &File{Name: "sheet", Text: text}
	tree, err := f.tree()
	if err != nil {
		return nil, err
	}
	all := map[string]string{}
	flatten(tree, "", "\x00", all)
	return all, nil
}

// locate finds the token of the value at a path and the bytes it takes, quotes included.
func locate(f *File, path string) (*token.Token, [2]int, error) {
	tree, bad := parse(f)
	if bad != nil {
		return nil, [2]int{}, Errors{*bad}
	}
	n := find(tree, path)
	if n == nil {
		n = find(tree, "machine."+path)
	}
	if n == nil {
		return nil, [2]int{}, fmt.Errorf("the sheet has no value at %s; write the line by hand first", path)
	}
	_, t, ok := scalar(n)
	if !ok || t.Type == token.ImplicitNullType {
		return nil, [2]int{}, fmt.Errorf("%s is no single value; edit one of the values in it", path)
	}
	span, err := f.span(t)
	return t, span, err
}

// find walks maps and lists along a path; keys that hold points themselves, as under sets, are matched whole.
func find(n ast.Node, path string) ast.Node {
	if path == "" {
		return n
	}
	if strings.HasPrefix(path, "[") {
		end := strings.IndexByte(path, ']')
		sequence, ok := n.(*ast.SequenceNode)
		if end < 0 || !ok {
			return nil
		}
		i, err := strconv.Atoi(path[1:end])
		if err != nil || i < 0 || i >= len(sequence.Values) {
			return nil
		}
		return find(sequence.Values[i], strings.TrimPrefix(path[end+1:], "."))
	}
	list, ok := entries(n)
	if !ok {
		return nil
	}
	for _, e := range list {
		rest, ok := strings.CutPrefix(path, e.name)
		if !ok || (rest != "" && rest[0] != '.' && rest[0] != '[') {
			continue
		}
		if found := find(e.value, strings.TrimPrefix(rest, ".")); found != nil {
			return found
		}
	}
	return nil
}

// span is where a token stands in the text: bytes from and to.
func (f *File) span(t *token.Token) ([2]int, error) {
	line := f.line(t.Position.Line)
	from := f.inLine(t)
	to := from + len(t.Value)
	switch t.Type {
	case token.DoubleQuoteType, token.SingleQuoteType:
		to = closingQuote(line, from)
	default:
		if !strings.HasPrefix(line[min(from, len(line)):], t.Value) {
			to = 0
		}
	}
	if to <= from || to > len(line) {
		return [2]int{}, fmt.Errorf("the value at line %d goes over several lines; edit it by hand", t.Position.Line)
	}
	start := f.lineStart(t.Position.Line)
	return [2]int{start + from, start + to}, nil
}

// inLine is the bytes of a token's line before it.
func (f *File) inLine(t *token.Token) int {
	line, from := f.line(t.Position.Line), 0
	for range t.Position.Column - 1 {
		if from >= len(line) {
			break
		}
		_, size := utf8.DecodeRuneInString(line[from:])
		from += size
	}
	return from
}

// lineStart is the byte at which a line begins; one past the last line is the end of the text.
func (f *File) lineStart(line int) int {
	start := len(f.Text) - len(f.body())
	for range line - 1 {
		next := bytes.IndexByte(f.Text[start:], '\n')
		if next < 0 {
			return len(f.Text)
		}
		start += next + 1
	}
	return start
}

// closingQuote is the index after the quote that closes the one at from, or 0 when it is not on the line.
func closingQuote(line string, from int) int {
	if from >= len(line) {
		return 0
	}
	quote := line[from]
	for i := from + 1; i < len(line); i++ {
		switch {
		case quote == '"' && line[i] == '\\':
			i++
		case line[i] == quote && quote == '\'' && i+1 < len(line) && line[i+1] == '\'':
			i++
		case line[i] == quote:
			return i + 1
		}
	}
	return 0
}

// quoted is the text as YAML needs it: plain when that is safe.
func quoted(text string) string {
	plain := text != "" && strings.TrimSpace(text) == text && !strings.ContainsAny(text, ":#,[]{}\"'\\\n\t&*!|>`@") && !strings.ContainsAny(text[:1], "-?%=~") &&
		strings.IndexFunc(text, func(r rune) bool { return r < ' ' }) < 0
	if plain {
		return text
	}
	if negative := strings.TrimPrefix(text, "-"); negative != text && negative != "" && negative[0] >= '0' && negative[0] <= '9' && quoted(negative) == negative {
		return text
	}
	return strconv.Quote(text)
}
