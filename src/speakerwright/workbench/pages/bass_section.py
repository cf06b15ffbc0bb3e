"""The port in its box, to scale."""

from __future__ import annotations

from speakerwright.chain import Workup


def port_picture(workup: Workup, chamber: str, system: str) -> str:
    """SVG of a chamber's port in section; empty without a port."""
    from speakerwright.drawing.port_section import port_section
    from speakerwright.drawing.sheets import svg

    found = workup.bass.chambers[chamber]
    port = found.port
    if port is None:
        return ""
    asked, seat = found.inputs.chamber.port, found.inputs.seat
    assert asked is not None
    job = found.inputs.chamber.loads[0]
    body = workup.design.record(workup.design.decided.drivers[job].record).body
    drawing = port_section(
        length_mm=1e3 * port.length, opening_mm=1e3 * (asked.bore or asked.height or 0.0),
        wall_mm=1e3 * asked.wall, baffle_mm=1e3 * seat.baffle,
        depth_mm=None if seat.behind_mouth is None else 1e3 * seat.behind_mouth,
        driver_mm=None if body.depth is None or body.frame is None
        else (1e3 * body.depth, 1e3 * body.frame),
        magnet_mm=None if body.magnet_diameter is None or body.magnet_height is None
        else (1e3 * body.magnet_diameter, 1e3 * body.magnet_height),
        shared_wall=asked.walls_shared > 0, system=system,
    )
    return svg(drawing)
