"""Panels, bodies and the air between them: solids, collisions, clearances, chambers, mass.

Everything in this package is in millimetres, square and cubic millimetres, as floats; lengths
therefore carry no unit suffix here. Masses are in kg and densities in kg/m³.

World axes: x to the right seen from the front, y from the front to the back, z up; the origin is
the bottom centre of the front face.
"""
