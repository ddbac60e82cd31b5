package brake

// HoseSwell is how far the lever moves [m] because the hose swells: expansion for a length [m3/m] x length [m] / area of the master
// cylinder of a bore [m] x lever ratio. Source: FMVSS 106 gives the greatest expansion; real hoses swell far less.
func HoseSwell(expansion, length, master, leverRatio float64) float64 {
	return expansion * length / Area(master) * leverRatio
}

// BulkRise is by how much a disc or drum of a mass [kg] and heat capacity [J/(kg K)] warms through [K] when it takes a share [-] of a
// body's energy: mass [kg], speed [m/s]. Source: Limpert, Brake Design and Safety.
func BulkRise(mass, speed, share, rotor, capacity float64) float64 {
	return share * 0.5 * mass * speed * speed / (rotor * capacity)
}
