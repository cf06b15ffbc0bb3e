"""The cabinet's drawings as blocks of the plan."""

from __future__ import annotations

from speakerwright.cabinet.result import CabinetResult
from speakerwright.drawing.cabinet_sheets import general_views
from speakerwright.drawing.panel_views import panel_sheet
from speakerwright.drawing.sheets import Drawing, svg
from speakerwright.words.blocks import Figure


def general(result: CabinetResult, system: str) -> tuple[Figure, ...]:
    """Front, section, side and pictorial views."""
    return tuple(_figure(drawing) for drawing in
                 general_views(result.panels, result.bodies, system=system))


def sheets(result: CabinetResult, system: str) -> tuple[Figure, ...]:
    """One sheet for every panel."""
    return tuple(_figure(panel_sheet(panel, system=system)) for panel in result.panels)


def _figure(drawing: Drawing) -> Figure:
    return Figure(svg(drawing), drawing.title)
