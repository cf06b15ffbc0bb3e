"""Which box, tuning and port? Worked out on one circuit of motor, cone, box and port."""
