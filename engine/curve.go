package engine

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"

	"golang.org/x/sync/errgroup"

	"shakedown/engine/flow"
	"shakedown/internal/faults"
)

// chainLength is how many neighbouring speeds are run one after the other, each from the state of the one before.
// Chains are fixed, so that the result is the same on any number of processors.
const chainLength = 5

// Curve is the torque curve of an engine at speeds [rad/s] that rise: full throttle, spark for best torque. A speed
// that could not be computed has Converged false and the reason in the list of errors at its place. Done is called,
// from one goroutine at a time, as speeds are ready, in no order. The error is the context's, that of Validate, or a
// *faults.Fault.
func Curve(ctx context.Context, b Breathing, speeds []float64, done func(ready, total int)) ([]Point, []error, error) {
	if err := valid(&b, speeds); err != nil {
		return nil, nil, err
	}
	points, failed := make([]Point, len(speeds)), make([]error, len(speeds))
	var mu sync.Mutex
	ready := 0
	tell := func() {
		mu.Lock()
		defer mu.Unlock() // also when done fails: the others must not wait for ever
		if ready++; done != nil {
			done(ready, len(speeds))
		}
	}
	work, each := errgroup.WithContext(ctx)
	work.SetLimit(runtime.GOMAXPROCS(0))
	for from := 0; from < len(speeds); from += chainLength {
		work.Go(func() error {
			return faults.Catch(func() error {
				var r *rig
				for i := from; i < min(from+chainLength, len(speeds)) && each.Err() == nil; i++ {
					points[i], r, failed[i] = runSpeed(ctx, &b, speeds[i], r)
					tell()
				}
				return nil
			})
		})
	}
	if err := work.Wait(); err != nil {
		return nil, nil, err
	}
	return points, failed, ctx.Err()
}

func valid(b *Breathing, speeds []float64) error {
	if err := b.Validate(); err != nil {
		return err
	}
	for i, s := range speeds {
		if !(s > 0) || i > 0 && s <= speeds[i-1] {
			return fmt.Errorf("engine speeds must rise from above zero; %g rad/s does not", s)
		}
	}
	return nil
}

// Near computes engines that differ little from one: each begins with the gases that the one holds at the end of its
// cycles, and is done in a few. It may be used from several goroutines.
type Near struct {
	speeds []float64 // [rad/s]
	rigs   []*rig    // only read; nil where the one could not be computed
}

// NewNear runs an engine at speeds [rad/s] that rise. The error is the context's, that of Validate, or a *faults.Fault.
func NewNear(ctx context.Context, b Breathing, speeds []float64) (*Near, error) {
	if err := valid(&b, speeds); err != nil {
		return nil, err
	}
	n := &Near{speeds, make([]*rig, len(speeds))}
	work := errgroup.Group{}
	work.SetLimit(runtime.GOMAXPROCS(0))
	for i, omega := range speeds {
		work.Go(func() error {
			return faults.Catch(func() error {
				_, n.rigs[i], _ = runSpeed(ctx, &b, omega, nil) // a speed that fails is found to fail by Curve
				return nil
			})
		})
	}
	if err := work.Wait(); err != nil {
		return nil, err
	}
	return n, ctx.Err()
}

// Curve is the torque curve of an engine at those speeds, as the function Curve gives it.
func (n *Near) Curve(ctx context.Context, b Breathing) ([]Point, []error, error) {
	if err := valid(&b, n.speeds); err != nil {
		return nil, nil, err
	}
	points, failed := make([]Point, len(n.speeds)), make([]error, len(n.speeds))
	for i, omega := range n.speeds {
		r, err := newRig(&b, omega, n.rigs[i])
		if err == nil {
			points[i], _, err = runSpeed(ctx, &b, omega, r)
		}
		failed[i] = err
	}
	return points, failed, ctx.Err()
}

// runSpeed runs one speed, from the state of a neighbour when there is one.
func runSpeed(ctx context.Context, b *Breathing, omega float64, r *rig) (Point, *rig, error) {
	if r == nil {
		var err error
		if r, err = newRig(b, omega, nil); err != nil {
			return Point{Speed: omega}, nil, err
		}
	} else {
		r.omega = omega
		r.pistonSpeed = MeanPistonSpeed(b.Crank.Stroke, omega)
	}
	p, err := r.settle(ctx)
	if errors.Is(err, flow.ErrFlow) {
		err = fmt.Errorf("%w; look for a slipped digit in bore, stroke, rod, chamber, valves, ports and pipes", err)
	}
	if err != nil {
		return Point{Speed: omega, Cycles: p.Cycles}, nil, err
	}
	if !p.Converged {
		err = fmt.Errorf("%w in %d cycles; off by %.2g of what passes", ErrNotPeriodic, p.Cycles, p.Off)
	}
	return p, r, err
}

// Peaks are the points of greatest torque and power between the computed ones: a parabola through the three about the
// highest.
func Peaks(points []Point) (torque, power Point) {
	return peak(points, func(p Point) float64 { return p.Torque }), peak(points, func(p Point) float64 { return p.Power })
}

func peak(points []Point, of func(Point) float64) Point {
	best := -1
	for i, p := range points {
		if p.Converged && (best < 0 || of(p) > of(points[best])) {
			best = i
		}
	}
	if best < 0 {
		return Point{}
	}
	top := points[best]
	if best == 0 || best == len(points)-1 || !points[best-1].Converged || !points[best+1].Converged {
		return top
	}
	a, c := points[best-1], points[best+1]
	x0, x1, x2 := a.Speed, top.Speed, c.Speed
	y0, y1, y2 := of(a), of(top), of(c)
	d1, d2 := (y1-y0)/(x1-x0), (y2-y1)/(x2-x1)
	curve := (d2 - d1) / (x2 - x0)
	if curve >= 0 {
		return top
	}
	x := math.Max(x0, math.Min(x2, (x0+x1)/2-d1/(2*curve)))
	top.Speed = x
	top.Torque = parabola(a.Torque, points[best].Torque, c.Torque, x0, x1, x2, x)
	top.Power = parabola(a.Power, points[best].Power, c.Power, x0, x1, x2, x)
	return top
}

func parabola(y0, y1, y2, x0, x1, x2, x float64) float64 {
	return y0*(x-x1)*(x-x2)/((x0-x1)*(x0-x2)) + y1*(x-x0)*(x-x2)/((x1-x0)*(x1-x2)) + y2*(x-x0)*(x-x1)/((x2-x0)*(x2-x1))
}
