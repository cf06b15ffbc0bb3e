"""The usual cautions of a build plan: plain, short, and second to local codes and licensed people.

Figures in them, all from memory: 85 dB(A) over a working day is the upper action value of the
European noise directive 2003/10/EC and the recommended limit of NIOSH publication 98-126; 23 kg is
the load constant of the revised NIOSH lifting equation (Waters, Putz-Anderson, Garg and Fine,
1993), the most it allows under the best conditions.
"""

from __future__ import annotations

from speakerwright.words.blocks import Caution
from speakerwright.words.units import show

_HEARING = Caution(
    "Hearing",
    "This loudspeaker can play loud enough to damage hearing for good, and the damage does not"
    " hurt while it is done. Start every test at the lowest level, wear hearing protection during"
    " sweeps and power tests, and keep others out of the room. Rules for workplaces commonly act"
    " from 85 dB(A) over a working day; where your local rule is stricter, it holds.",
)

_ELECTRIC = Caution(
    "Mains and amplifiers",
    "Mains voltage kills, and an amplifier holds a dangerous charge after it is unplugged. Let a"
    " licensed electrician do and test all mains wiring, under the electrical code of your place."
    " Amplifier outputs for large loudspeakers can carry voltages that are dangerous to touch: use"
    " fully insulated connectors, and wire only with the amplifier switched off and unplugged.",
)

_RIGGING = Caution(
    "Rigging and tipping",
    "Do not hang this cabinet, or stand it on a pole or above people, unless a qualified rigger has"
    " worked out and inspected the fittings for it; this plan gives no such fittings. A tall or"
    " stacked cabinet can be pushed over by a child or a crowd: secure it to the building or widen"
    " its foot, as local rules for stages and public rooms ask.",
)

_DUST = Caution(
    "Dust",
    "Fine dust from wood and sheet material harms the lungs, and some of it causes cancer. Extract"
    " it at the tool, wear a respirator that fits and is rated for fine dust, and clean up with an"
    " extractor rather than a broom. Dust in the air can burn explosively: keep flames and sparks"
    " away, and follow the workplace limits of your place.",
)

_CUTTERS = Caution(
    "Cutters and machines",
    "Saws and routers take fingers in an instant. Read the maker's instructions, keep the guards"
    " on, wear eye and hearing protection, and clamp the work. Never reach towards a moving cutter"
    " or leave a running machine alone; try every cutting file above the stock first. If you have"
    " not been trained on a machine, let someone who has been make the parts.",
)

_FINISHING = Caution(
    "Fumes, glue and finish",
    "Glues, solvents, paints and solder give off fumes that harm, and many of them burn. Read the"
    " safety sheet of each product, work with moving fresh air, and wear the gloves and filters"
    " that the sheet names. Rags soaked with oil can catch fire by themselves: dry them flat"
    " outdoors or keep them under water, and dispose of them as local rules say.",
)

_MAGNETS = Caution(
    "Magnets",
    "The magnets of drive units snap to steel and to each other with a force that crushes fingers"
    " and breaks cones. Keep tools and screws well away, and lower a driver onto the cabinet with"
    " both hands clear of the gap. People with a pacemaker or another implant should keep the"
    " distance that their doctor advises.",
)

_AUDIENCE = Caution(
    "Audiences",
    "Many places limit the level at which music may be played to an audience and to the"
    " neighbours, and ask whoever runs the system to measure it. Find out which rules hold where"
    " you play, place loudspeakers so that nobody can stand close in front of them, and offer ear"
    " plugs. A level that the loudspeaker can reach is no level that you may play.",
)


def _lifting(mass: float | None, system: str) -> Caution:
    most = "51 lb" if system == "inch" else "23 kg"
    weighs = f"The finished cabinet weighs about {show(mass, 'mass', system)}. " if mass else ""
    return Caution(
        "Lifting",
        f"{weighs}The revised NIOSH lifting equation allows one person at most {most} under the"
        " best conditions, and less for a wide, low, high or twisted lift, which a cabinet nearly"
        " always is. Lift with two people or a trolley, plan the way and the place to set down"
        " first, and follow the handling rules of your place.",
    )


def cautions(
    *,
    electric: bool = True,
    rigging: bool = True,
    lifting: bool = True,
    cutting: bool = True,
    finishing: bool = True,
    magnets: bool = True,
    audience: bool = True,
    mass: float | None = None,
    system: str = "metric",
) -> tuple[Caution, ...]:
    """The cautions that a plan opens with; the one on hearing is always there.

    Parameters
    ----------
    electric, rigging, lifting, cutting, finishing, magnets, audience : bool
        Which kinds of work and use the plan leads to. `cutting` stands for cutters and dust.
    mass : float, optional
        Mass of the finished cabinet in kg, printed where it is known.
    system : {"metric", "inch"}
        The reader's units.

    Returns
    -------
    tuple of Caution
        In the order in which they are printed.
    """
    wanted = (
        (True, _HEARING),
        (electric, _ELECTRIC),
        (rigging, _RIGGING),
        (lifting, _lifting(mass, system)),
        (cutting, _CUTTERS),
        (cutting, _DUST),
        (finishing, _FINISHING),
        (magnets, _MAGNETS),
        (audience, _AUDIENCE),
    )
    return tuple(caution for asked, caution in wanted if asked)
