package result

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"maps"
	"math"
	"reflect"
	"slices"
)

// Key names what something was computed from: what it is, the version of its model, and the structs that its room was
// given, field by field. Equal numbers give equal keys whatever they came from. A func or a channel in a struct is a
// mistake of the program: it panics.
func Key(name, version string, given ...any) string {
	w := walker{sha256.New()}
	fmt.Fprintf(w.sum, "%s %s\n", name, version)
	for _, v := range given {
		w.value(reflect.ValueOf(v))
	}
	return hex.EncodeToString(w.sum.Sum(nil))
}

type walker struct{ sum hash.Hash }

func (w walker) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.Invalid:
		fmt.Fprint(w.sum, "nil;")
	case reflect.Bool:
		fmt.Fprintf(w.sum, "%t;", v.Bool())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		fmt.Fprintf(w.sum, "%d;", v.Int())
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		fmt.Fprintf(w.sum, "%d;", v.Uint())
	case reflect.Float32, reflect.Float64:
		fmt.Fprintf(w.sum, "%x;", math.Float64bits(v.Float()))
	case reflect.String:
		fmt.Fprintf(w.sum, "%q;", v.String())
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			fmt.Fprint(w.sum, "nil;")
			return
		}
		if v.Kind() == reflect.Interface { // two kinds with the same fields are not the same
			fmt.Fprintf(w.sum, "%s", v.Elem().Type())
		}
		w.value(v.Elem())
	case reflect.Slice, reflect.Array:
		fmt.Fprintf(w.sum, "[%d;", v.Len())
		for i := range v.Len() {
			w.value(v.Index(i))
		}
	case reflect.Struct:
		fmt.Fprint(w.sum, "{")
		for i := range v.NumField() {
			w.value(v.Field(i))
		}
		fmt.Fprint(w.sum, "}")
	case reflect.Map:
		byKey := map[string]reflect.Value{}
		for _, k := range v.MapKeys() {
			byKey[word(k)] = v.MapIndex(k)
		}
		fmt.Fprintf(w.sum, "[%d;", v.Len())
		for _, k := range slices.Sorted(maps.Keys(byKey)) {
			fmt.Fprint(w.sum, k)
			w.value(byKey[k])
		}
	default:
		panic("result: a key cannot be made of a " + v.Type().String())
	}
}

// word is the key of a map.
func word(k reflect.Value) string {
	switch {
	case k.Kind() == reflect.String:
		return fmt.Sprintf("%q:", k.String())
	case k.CanInt():
		return fmt.Sprintf("%d:", k.Int())
	case k.CanUint():
		return fmt.Sprintf("%d:", k.Uint())
	}
	panic("result: a key cannot be made of a map by " + k.Type().String())
}
