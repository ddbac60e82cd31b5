package ranges

import (
	"fmt"
	"reflect"
	"slices"
)

// exact is up to where a float64 holds every whole number.
const exact = 1 << 53

// Flat is all that a value holds, as numbers one after the other: fields in their order, unexported ones too, and what
// pointers lead to. Before what may be long or missing stands how long it is, so that two values of one type have the
// same numbers only when they hold the same, and lie side by side when they differ in numbers alone. Maps go by their
// keys in order. It panics on functions, channels, addresses without a type, whole numbers beyond 2^53, and what leads
// back to itself without end: of those numbers say nothing.
func Flat(v any) []float64 {
	return flat(nil, reflect.ValueOf(v), 0)
}

// deepest is how far a value may lead inwards; what goes further leads back to itself.
const deepest = 100

func flat(list []float64, v reflect.Value, depth int) []float64 {
	if depth > deepest {
		panic(fmt.Sprintf("forecast: a %s leads inwards without end", v.Type()))
	}
	whole := func(n float64) []float64 {
		if n > exact || n < -exact {
			panic(fmt.Sprintf("forecast: a float64 does not hold the whole number %.0f", n))
		}
		return append(list, n)
	}
	switch v.Kind() {
	case reflect.Invalid: // nothing at all
		return append(list, 0)
	case reflect.Bool:
		if v.Bool() {
			return append(list, 1)
		}
		return append(list, 0)
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return whole(float64(v.Int()))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return whole(float64(v.Uint()))
	case reflect.Float32, reflect.Float64:
		return append(list, v.Float())
	case reflect.Complex64, reflect.Complex128:
		return append(list, real(v.Complex()), imag(v.Complex()))
	case reflect.String:
		return flat(list, reflect.ValueOf([]byte(v.String())), depth+1)
	case reflect.Array, reflect.Slice:
		if v.Kind() == reflect.Slice {
			list = append(list, float64(v.Len()))
		}
		for i := range v.Len() {
			list = flat(list, v.Index(i), depth+1)
		}
		return list
	case reflect.Struct:
		for i := range v.NumField() {
			list = flat(list, v.Field(i), depth+1)
		}
		return list
	case reflect.Map:
		type entry struct{ key, value []float64 }
		var entries []entry
		for of := v.MapRange(); of.Next(); {
			entries = append(entries, entry{flat(nil, of.Key(), depth+1), flat(nil, of.Value(), depth+1)})
		}
		slices.SortFunc(entries, func(a, b entry) int { return slices.Compare(a.key, b.key) })
		list = append(list, float64(len(entries)))
		for _, e := range entries {
			list = append(append(list, e.key...), e.value...)
		}
		return list
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return append(list, 0)
		}
		list = append(list, 1)
		if inner := v.Elem(); v.Kind() == reflect.Interface { // which type it is says as much as what it holds
			list = flat(list, reflect.ValueOf(inner.Type().PkgPath()+" "+inner.Type().String()), depth+1)
		}
		return flat(list, v.Elem(), depth+1)
	}
	panic(fmt.Sprintf("forecast: a %s cannot be told in numbers", v.Type()))
}
