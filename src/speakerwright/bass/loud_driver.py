"""What a chamber's driver does at large level: by its record, or assumed, each by name."""

from __future__ import annotations

from dataclasses import dataclass

from speakerwright.acoustics.heat import HeatLadder, assumed_ladder, coil_and_magnet
from speakerwright.acoustics.largesignal.curves import (
    Curve,
    Nonlinear,
    assumed_force_factor,
    assumed_stiffness,
    constant,
)
from speakerwright.acoustics.largesignal.model import Creep
from speakerwright.acoustics.largesignal.port import EXIT, SHARP_ENTRY
from speakerwright.bass.inputs import ChamberInput
from speakerwright.design.motor import figure
from speakerwright.design.records import LargeSignalFigures, Record, Thermal
from speakerwright.words.evidence import Evidence


@dataclass(frozen=True, eq=False)
class LoudInput:
    """One chamber's inputs with what its driver does at large level.

    `heat` is one driver's, None where neither thermal figures nor rated power are known; then the
    coil stays cold. `port_coefficient` counts dynamic pressures lost at both ends of a port.
    `evidence` is that of the curves; `assumed` says in sentences what stands for missing figures;
    `even_known` whether the curves can tell anything of the second harmonic.
    """

    chamber: ChamberInput
    shapes: Nonlinear
    heat: HeatLadder | None
    creep: Creep | None = None
    port_coefficient: float = SHARP_ENTRY + EXIT
    evidence: Evidence = Evidence.SIMULATED
    assumed: tuple[str, ...] = ()
    even_known: bool = False


def loud_input(inputs: ChamberInput, record: Record | None = None) -> LoudInput:
    """Gather what is known of a chamber's driver at large level, and assume the rest by name.

    Parameters
    ----------
    inputs : ChamberInput
        The chamber.
    record : Record, optional
        The driver's; without it everything is assumed.

    Returns
    -------
    LoudInput
        With a sentence for every assumption.
    """
    curves, thermal, evidence = None, None, Evidence.SIMULATED
    if record is not None:
        found, evidence = figure(record, "large_signal")
        curves = found if isinstance(found, LargeSignalFigures) else None
        evidence = evidence if curves is not None else Evidence.SIMULATED
        given, _ = figure(record, "thermal")
        thermal = given if isinstance(given, Thermal) else None
    assumed: list[str] = []
    shapes = Nonlinear(*(_curve(name, curves, inputs, assumed) for name in ("bl", "kms", "le")))
    share = None if curves is None else curves.creep
    return LoudInput(
        chamber=inputs,
        shapes=shapes,
        heat=_heat(thermal, inputs, assumed),
        creep=None if share is None else Creep(share, inputs.motor.fs),
        evidence=evidence,
        assumed=tuple(assumed),
        even_known=curves is not None and all(curves.curve(name) for name in ("bl", "kms")),
    )


def _curve(
    name: str, figures: LargeSignalFigures | None, inputs: ChamberInput, assumed: list[str]
) -> Curve:
    given = None if figures is None else figures.curve(name)
    if given is not None:
        return given
    xmax = inputs.ratings.xmax
    if name == "le" or xmax is None:
        what = {"le": "the inductance", "bl": "the force factor", "kms": "the stiffness"}[name]
        why = "" if name == "le" else ", since no xmax is known"
        assumed.append(f"{what} is taken as the same at every displacement{why}")
        return constant(inputs.ratings.xdamage or 1.0)
    reach = inputs.ratings.xdamage
    if name == "bl":
        assumed.append("the force factor is assumed to fall to 82 % at xmax (IEC 62458, from "
                       "memory), evenly to both sides")
        return assumed_force_factor(xmax, reach)
    assumed.append("the compliance is assumed to fall to 75 % at xmax (IEC 62458, from memory), "
                   "evenly to both sides")
    return assumed_stiffness(xmax, reach)


def _heat(
    thermal: Thermal | None, inputs: ChamberInput, assumed: list[str]
) -> HeatLadder | None:
    if thermal is not None:
        return coil_and_magnet(
            thermal.r_coil, thermal.tau_coil, thermal.r_magnet, thermal.tau_magnet)
    if inputs.ratings.power is None:
        assumed.append("the coil is taken as cold, since no rated power is known")
        return None
    assumed.append("the coil is assumed to settle at 200 °C on the rated power (rule of thumb)")
    return assumed_ladder(inputs.ratings.power)
