"""The cabinet's drawings as blocks of the plan; a drawing carries its own caption."""

from __future__ import annotations

from dataclasses import replace

from speakerwright.cabinet.result import CabinetResult, DepthChain
from speakerwright.drawing.cabinet_sheets import general_views
from speakerwright.drawing.dimensions import depth_chain
from speakerwright.drawing.panel_views import panel_sheet
from speakerwright.drawing.sheets import FIELD_MM, Drawing, svg
from speakerwright.solids.panels import Panel
from speakerwright.words.blocks import Figure, Paragraph

PLAIN_MM = (FIELD_MM[0], 105.0)  # room for a panel with nothing cut into it: two on a page


def general(result: CabinetResult, system: str) -> tuple[Figure | Paragraph, ...]:
    """Front view, section and side, pictorial views; a sentence where no page holds them."""
    try:
        views = general_views(result.panels, result.bodies, system=system)
    except ValueError as error:
        return (_left_out(error),)
    return tuple(_figure(drawing) for drawing in views)


def tightest(result: CabinetResult, system: str) -> tuple[Figure, ...]:
    """The chain of depths with the least clear behind it, as a drawing; none without a chain."""
    if not result.chains:
        return ()
    chain = min(result.chains, key=lambda one: one.clear)
    try:
        return (_figure(_strip(chain, result.panels[0].thickness, system)),)
    except ValueError:  # longer than a page at any scale; the table says it all the same
        return ()


def _strip(chain: DepthChain, baffle: float, system: str) -> Drawing:
    (_, deep), *rest = (part for part in chain.parts if part[0] != "back" or part[1])
    inside = [(f"{chain.name}, behind the baffle", deep - baffle)] if deep > baffle else []
    front = min(deep, baffle)
    return depth_chain(
        [("baffle", front), *inside, *rest], title=f"Depth behind the front face: {chain.name}",
        system=system, solid=("baffle", "back"), note="The tightest of the chains above.",
    )


def sheets(result: CabinetResult, system: str) -> tuple[Figure | Paragraph, ...]:
    """One sheet for every panel, panels that are drawn alike on one."""
    alike: dict[str, list[Panel]] = {}
    made: list[Figure | Paragraph] = []
    for panel in result.panels:
        try:
            nameless = svg(_sheet(replace(panel, name="panel"), system))
        except ValueError as error:
            made.append(_left_out(error, panel.name))
            continue
        alike.setdefault(nameless, []).append(panel)
    made += [_figure(_sheet(replace(some[0], name=_together(some)), system))
             for some in alike.values()]
    return tuple(made)


def _left_out(error: ValueError, name: str = "cabinet") -> Paragraph:
    return Paragraph(f"No drawing of the {name}: {error}.")


def _sheet(panel: Panel, system: str) -> Drawing:
    return panel_sheet(panel, FIELD_MM if panel.features or panel.bevels else PLAIN_MM, system)


def _together(some: list[Panel]) -> str:
    names = [panel.name for panel in some]
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} and {names[-1]}, alike"


def _figure(drawing: Drawing) -> Figure:
    return Figure(svg(drawing), "")
