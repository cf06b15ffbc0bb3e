"""Textbook physics: air, drive units, boxes, ports, pistons, rooms, hearing, responses."""
