"""Networks of electrical, mechanical and acoustical parts, and one solver for all of them.

The impedance analogy is used throughout: in the mechanical domain a node's value is a force (N) and
a branch's current a velocity (m/s); in the acoustical domain pressure (Pa) and volume velocity
(m³/s). So a mass or an acoustic mass is an inductor, a compliance is a capacitor, a loss is a
resistor, the motor is a gyrator (Bl) and the cone a transformer (Sd).
"""
