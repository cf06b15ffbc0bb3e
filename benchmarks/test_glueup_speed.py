"""How fast twelve panels are taken apart, and a glue-up is worked out (no gate: to look at)."""

from speakerwright.cabinet.glueup import glue_up
from speakerwright.solids.joints import Joint
from speakerwright.solids.takingapart import taken_apart
from test_solids_speed import cabinet


def joints(panels):
    """A joint between every inner panel and both sides, and along the walls' edges."""
    made = []
    for panel in panels:
        x0, y0, z0, x1, y1, z1 = panel.bounding_box
        for host, x, into in (("left", x0, (-1.0, 0.0, 0.0)), ("right", x1, (1.0, 0.0, 0.0))):
            if panel.name in ("left", "right"):
                continue
            middle = 0.5 * (z0 + z1)
            made.append(Joint("butt", host, panel.name, (x, y0, middle), (x, y1, middle),
                              panel.thickness, into))
    return made


def test_twelve_panels_taken_apart(benchmark):
    panels = cabinet()
    order = benchmark(taken_apart, panels, joints(panels))
    assert order.locked == ()
    assert len(order.moves) == 11


def test_glue_up_of_twelve_panels(benchmark):
    panels = cabinet()
    found = benchmark(glue_up, panels, joints(panels))
    assert len(found.steps) == 11
