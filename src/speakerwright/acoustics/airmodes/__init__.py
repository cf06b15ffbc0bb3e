"""The air in a real chamber as finite elements: its standing waves, bare and lined.

From a `chambers.Chamber` comes a `grid.Grid`; from that its `modes.rigid_modes` and, with linings,
a `reduced.reduced_basis` that is swept over frequency. `refinement` says what a finer grid changes.
"""
