// Package flow is one-dimensional unsteady flow of gas in pipes: area that changes, wall friction, wall heat, two
// shares of other gases carried along; and what pipes end in: volumes, openings, joints.
//
// States, geometry and tables of energy go in, in SI; states a time step later come out, and what flowed through the
// ends. It knows no crank, fuel or stroke. Mass, energy and the shares are conserved to rounding. Finite volumes,
// MUSCL-Hancock with van Leer's limiter and HLLC fluxes: Toro, Riemann Solvers and Numerical Methods for Fluid
// Dynamics, ch. 10 and 14.
package flow
