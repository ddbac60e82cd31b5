package ranges

import (
	"slices"
	"testing"
	"unsafe"
)

type box struct {
	Size  float64
	Count int
	On    bool
	Name  string
	list  []float64
	next  *box
	any   any
	Share map[string]float64
	pair  [2]float64
}

// The numbers of a value, counted out by hand from what Flat says of itself: letters by their code (ASCII: a is 97, b
// is 98), lengths first.
func TestFlatTellsAllThatAValueHolds(t *testing.T) {
	v := box{Size: 2.5, Count: -3, On: true, Name: "ab", list: []float64{7, 8}, next: &box{}, Share: map[string]float64{"b": 4, "a": 3}, pair: [2]float64{5, 6}}
	none := []float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 0} // size, count, on; name, list, pointer, interface and map, all of nothing; the pair
	want := slices.Concat([]float64{2.5, -3, 1, 2, 97, 98, 2, 7, 8, 1}, none, []float64{0, 2, 1, 97, 3, 1, 98, 4, 5, 6})
	for range 20 { // maps have no order of their own
		if got := Flat(v); !slices.Equal(got, want) {
			t.Fatalf("%v\nwant\n%v", got, want)
		}
	}
	if got := Flat(nil); !slices.Equal(got, []float64{0}) {
		t.Errorf("nothing at all is %v", got)
	}
}

// What holds something else has other numbers, also where the pieces one behind the other would be the same.
func TestFlatTellsValuesApart(t *testing.T) {
	type two struct{ a, b []float64 }
	type mine float64
	type yours float64
	for name, c := range map[string][2]any{
		"where a list ends": {two{[]float64{1}, []float64{2, 3}}, two{[]float64{1, 2}, []float64{3}}},
		"a hidden number":   {box{pair: [2]float64{1, 2}}, box{pair: [2]float64{1, 2.0000000001}}},
		"behind a pointer":  {box{next: &box{Size: 1}}, box{next: &box{Size: 2}}},
		"a pointer or none": {box{next: &box{}}, box{}},
		"another type":      {box{any: mine(1)}, box{any: yours(1)}},
		"another name":      {box{Name: "pass"}, box{Name: "past"}},
		"another key":       {box{Share: map[string]float64{"a": 1}}, box{Share: map[string]float64{"b": 1}}},
	} {
		if slices.Equal(Flat(c[0]), Flat(c[1])) {
			t.Errorf("%s: both are %v", name, Flat(c[0]))
		}
	}
	if a, b := Flat(box{Size: 1, next: &box{list: []float64{1, 2}}}), Flat(box{Size: 2, next: &box{list: []float64{3, 4}}}); len(a) != len(b) {
		t.Errorf("values that differ in numbers alone do not lie side by side: %v and %v", a, b)
	}
}

func TestFlatRefusesWhatNumbersDoNotTell(t *testing.T) {
	ring := &box{}
	ring.next = ring
	for name, v := range map[string]any{
		"a function": struct{ f func() }{}, "a function in an interface": box{any: func() {}}, "a channel": make(chan int), "an address": unsafe.Pointer(ring), "a number beyond 2^53": int64(1)<<60 + 1, "a ring": ring,
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s was taken", name)
				}
			}()
			Flat(v)
		}()
	}
}
