package sheet

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"shakedown/machine"
)

// The shortest circle through a part is as long as the lengths of all ways say, and what no circle lies behind is
// served.
func TestCirclesOfWaiting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const far = 1000
		n := rapid.IntRange(1, 9).Draw(t, "parts")
		next := map[string][]machine.Reference{}
		way := make([][]int, n) // the fewest steps from one part to another
		for i := range n {
			way[i] = make([]int, n)
			for j := range n {
				way[i][j] = far
				if rapid.IntRange(0, 6).Draw(t, "waits") == 0 {
					way[i][j] = 1
					next[fmt.Sprint(i)] = append(next[fmt.Sprint(i)], machine.Reference{Name: fmt.Sprint(j)})
				}
			}
		}
		for over := range n {
			for i := range n {
				for j := range n {
					way[i][j] = min(way[i][j], way[i][over]+way[over][j])
				}
			}
		}
		served := servedInOrder(next)
		for i := range n {
			id := fmt.Sprint(i)
			circle, behind := circleFrom(id, next), false
			for j := range n {
				behind = behind || way[j][j] < far && (i == j || way[i][j] < far)
			}
			if want := len(next[id]) > 0 && !behind; served[id] != want {
				t.Errorf("%s is served: %t, want %t", id, served[id], want)
			}
			if way[i][i] >= far {
				if circle != nil {
					t.Errorf("%s is in no circle, got %v", id, circle)
				}
				continue
			}
			at := i
			for _, step := range circle {
				var to int
				fmt.Sscan(step.Name, &to)
				if way[at][to] != 1 {
					t.Errorf("%d does not wait for %d", at, to)
				}
				at = to
			}
			if at != i || len(circle) != way[i][i] {
				t.Errorf("the circle of %s is %v, %d steps are the fewest", id, circle, way[i][i])
			}
		}
	})
}
