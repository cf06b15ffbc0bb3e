"""A worked-out chamber as the sketch of its loading."""

from __future__ import annotations

from speakerwright.acoustics.dipoles import dipole_distance
from speakerwright.bass.port import PortResult
from speakerwright.bass.result import ChamberResult
from speakerwright.design.sections.bass import BassChamber, Port
from speakerwright.drawing.loading_sketch import (
    LoadingSketch,
    SketchBaffle,
    SketchDuct,
    SketchPassive,
    SketchPort,
)
from speakerwright.words.blocks import Figure


def figure(result: ChamberResult, system: str) -> Figure:
    """The sketch of a chamber's loading; it carries its own caption."""
    return Figure(sketch(result, system), "")


def sketch(result: ChamberResult, system: str = "metric") -> LoadingSketch:
    """What the sketch of a chamber shows; as text (`str`) it is its SVG.

    Parameters
    ----------
    result : ChamberResult
    system : {"metric", "inch"}
        The reader's units.

    Returns
    -------
    LoadingSketch
        Ports with the length and tuning worked out; SI units.
    """
    inputs, chamber = result.inputs, result.inputs.chamber
    front, line = chamber.front, chamber.line
    fill = chamber.fill if line is None else line.fill
    ports = result.ports
    return LoadingSketch(
        loading=chamber.loading, cone_area=inputs.motor.sd, count=inputs.count,
        resonance=result.resonance, called=result.circuit.called, volume=chamber.volume,
        port=None if chamber.port is None else _port(chamber.port, ports["port"]),
        front_volume=None if front is None else front.volume,
        front=None if front is None else _port(front.port, ports["front.port"]),
        passive=_passive(result), duct=_duct(chamber), baffle=_baffle(result),
        fill_share=None if fill is None else fill.share, qtc=result.qtc, system=system,
    )


def _port(asked: Port, found: PortResult) -> SketchPort:
    round_ = asked.shape == "round"
    opening = asked.bore if round_ else asked.height
    assert opening is not None  # the section has seen to it
    return SketchPort(opening, found.length, found.tuning, asked.count,
                      None if round_ else asked.width, asked.walls_shared > 0, asked.bends)


def _passive(result: ChamberResult) -> SketchPassive | None:
    drone = result.inputs.passive
    return None if drone is None else SketchPassive(drone.sd, drone.mass, drone.count)


def _duct(chamber: BassChamber) -> SketchDuct | None:
    if chamber.line is not None:
        wanted = chamber.line
        return SketchDuct(wanted.length, wanted.area, wanted.mouth_area, wanted.driver_at)
    if chamber.horn is not None:
        horn = chamber.horn
        return SketchDuct(horn.length, horn.throat_area, horn.mouth_area, before=horn.volume,
                          profile=horn.profile)
    return None


def _baffle(result: ChamberResult) -> SketchBaffle | None:
    if result.circuit.dipole is None:
        return None
    place = result.circuit.dipole
    return SketchBaffle(*place, dipole_distance(*place))
