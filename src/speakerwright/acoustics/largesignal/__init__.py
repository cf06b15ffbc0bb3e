"""A moving-coil driver played loud: nonlinear curves, motion in time, tones, energy, the port."""
