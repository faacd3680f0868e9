"""A boiler room that behaves as the calculators say: for drills in finding a fault.

`parts` are what stands in the room, `state` is what changes with time, `balance` finds the
pressure, `heating` the temperatures, `running` carries a state on in time. `faults` change parts,
`actions` are what a technician can do. Nothing here is scripted: a reading is what the gas law,
the density of the water and the openings give.

Pressures are absolute inside; heights count from the vessel's connection. All in coherent SI.
"""
