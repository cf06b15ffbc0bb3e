"""How a chamber's air rings: its modes with and without braces, and how far they reach. SI.

Port and cone are what a mode can be heard through. Both ways are told over the motion that the cone
would have if only its mass held it: the port's volume velocity, and what the air's resistance takes
from the cone. So 0 dB is as loud as the cone itself, and -20 dB moves the level by up to 1 dB. The
suspension is left out; it counts below the first mode only.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from speakerwright.acoustics.air import Air, FloatArray
from speakerwright.acoustics.airmodes.chambers import Chamber
from speakerwright.acoustics.airmodes.grid import Grid, made
from speakerwright.acoustics.airmodes.modes import Modes, Order, rigid_modes
from speakerwright.acoustics.airmodes.reduced import SOLVES, Stopped, problem, reduced_basis, swept
from speakerwright.acoustics.airmodes.responses import ChamberResponse, opened, port_impedance
from speakerwright.acoustics.airmodes.threads import one_thread
from speakerwright.cabinet.air import RoomAir, without_braces
from speakerwright.cabinet.air_parts import DRIVER, PORT
from speakerwright.cabinet.mode_places import NEAR, SLOWED, peaks_about, strong_at

Tell = Callable[[float, str], None]

HIGHEST = 800.0  # Hz
LOWEST = 40.0  # Hz, where the curves begin
POINTS = 240  # of the curves
ABOUT = np.linspace(-0.06, 0.06, 121)  # of a mode's frequency, more points: a bare one is narrow
SPACING, ACROSS = 0.045, 1  # m, and cells across windows: all modes in a second or two
HALVED_TO = 400.0  # Hz; modes up to here, or the lowest, are told on half the spacing too
COUPLES = 0.02  # of a mode's product of pressures; with less it has no way: rule of thumb
VALID = 1.5  # times the tuning, from where on leakage is told: rule of thumb
PORT_Q = 60.0  # of a port whose losses the design does not state: rule of thumb


@dataclass(frozen=True)
class AirLoad:
    """What the bass says of the cones and ports that the air meets.

    Attributes
    ----------
    sd : float
        Of all cones together, m².
    mass : float
        Their moving mass, kg.
    port_area : float
        Of all ports together, m²; 0 without.
    port_length : float
        With its outer end and without its inner one, m.
    inner_end : float
        The inner end correction, m.
    tuning : float
        Hz; 0 without a port.
    port_q : float
        Of the port's losses at the tuning.
    """

    sd: float
    mass: float
    port_area: float = 0.0
    port_length: float = 0.0
    inner_end: float = 0.0
    tuning: float = 0.0
    port_q: float = PORT_Q


@dataclass(frozen=True, eq=False)
class ModeSet:
    """Modes in ascending order.

    Attributes
    ----------
    frequency : ndarray
        Hz, (m,).
    orders : tuple
        Half waves along x, y, z; None for a mode that is like none of a plain box.
    strong : tuple of str
        Where the pressure is strong.
    couples : ndarray
        How much of it is excited by the cone and seen by the port, and by the cone itself: products
        of the mode's pressures there over its mean, (2, m), without sign. In a plain box a corner
        has sqrt 2 for an axial mode.
    """

    frequency: FloatArray
    orders: tuple[Order | None, ...]
    strong: tuple[str, ...]
    couples: FloatArray

    def __post_init__(self) -> None:
        for each in (self.frequency, self.couples):
            each.setflags(write=False)


@dataclass(frozen=True, eq=False)
class Reach:
    """How one state of the chamber answers over `AirAnswer.frequency`, each (f,), dB.

    Attributes
    ----------
    port_leak_db, cone_leak_db : ndarray
        Flow through the port, and pressure on the cone, over what an even pressure would give; NaN
        below one and a half times the tuning, where a slip of it would show instead.
    port_db : ndarray
        The port's volume velocity over that of a cone held by its mass alone; NaN without a port.
    cone_db : ndarray
        What the resistance of the air takes from the cone, over the force that moves it.
    """

    port_leak_db: FloatArray
    cone_leak_db: FloatArray
    port_db: FloatArray
    cone_db: FloatArray

    def __post_init__(self) -> None:
        for each in (self.port_leak_db, self.cone_leak_db, self.port_db, self.cone_db):
            each.setflags(write=False)


@dataclass(frozen=True, eq=False)
class AirAnswer:
    """The air of one room worked out.

    Attributes
    ----------
    room : str
    modes, without : ModeSet
        With hard walls, as built and with the braces taken out.
    shift_percent : ndarray
        What the modes as built come out higher by than on half the grid's spacing, (m,), which is
        what the grid costs, all but a part; NaN above 400 Hz but for the lowest.
    volume, net : float
        Of the air as it is gridded, and as the solids leave it (NaN where not known), m³.
    braces : int
    open_share : float
        Of the windows of the brace that is open least; NaN without braces.
    lined : bool
    fits_from : float
        From where on the law of the lining stands on measurements, Hz.
    frequency : ndarray
        (f,), Hz.
    reach : mapping of str to Reach
        "bare" without braces, "braced" as built, "lined" with the lining too.
    simplified : tuple of str
    """

    room: str
    modes: ModeSet
    without: ModeSet
    shift_percent: FloatArray
    volume: float
    net: float
    braces: int
    open_share: float
    lined: bool
    fits_from: float
    frequency: FloatArray
    reach: dict[str, Reach] = field(default_factory=dict)
    simplified: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self.shift_percent.setflags(write=False)
        self.frequency.setflags(write=False)

    @property
    def state(self) -> str:
        """The state that is built: "lined" with a lining, else "braced"."""
        return "lined" if self.lined else "braced"

    def reaches(self, state: str = "") -> tuple[tuple[float, float], ...]:
        """How far each mode reaches port and cone, dB, in a state (as built when left out).

        Those of `without` for "bare", else of `modes`.
        """
        modes = self.without if state == "bare" else self.modes
        found = self.reach.get(state or self.state)
        if found is None:
            return ((math.nan, math.nan),) * modes.frequency.size
        down = SLOWED if (state or self.state) == "lined" else NEAR
        ways = [peaks_about(modes.frequency, couples >= COUPLES, self.frequency, level, down)
                for level, couples in zip((found.port_db, found.cone_db), modes.couples,
                                          strict=True)]
        return tuple(zip(*ways, strict=True))


def _silent(_: float, __: str) -> None:
    pass


def air_answer(
    room: str, inside: RoomAir, load: AirLoad | None = None, air: Air | None = None,
    tell: Tell = _silent, cancelled: Callable[[], bool] | None = None,
) -> AirAnswer:
    """Work out how a chamber's air rings.

    Parameters
    ----------
    room : str
        Its name.
    inside : RoomAir
        Its air.
    load : AirLoad, optional
        Cones and ports; without it, or without a cone in the chamber, modes only.
    air : Air, optional
        The default state when left out.
    tell : callable, optional
        Told the fraction done and a sentence.
    cancelled : callable, optional
        Asked between solves.

    Returns
    -------
    AirAnswer
        Modes up to 800 Hz, curves from 40 Hz on.

    Raises
    ------
    Stopped
        When it was cancelled.
    ValueError
        When the chamber cannot be gridded.
    """
    with one_thread():
        return _answered(room, inside, load, air if air is not None else Air(),
                         _Steps(tell, cancelled))


def _answered(room: str, inside: RoomAir, load: AirLoad | None, gas: Air, steps: _Steps
              ) -> AirAnswer:
    chamber = replace(inside.chamber, linings=())
    grid = made(chamber, SPACING, ACROSS)
    found = steps.mode(0.0, "Air modes as built.", grid, gas)
    bare = found
    if chamber.plates:
        bare = steps.mode(0.08, "Air modes without the braces.",
                          made(without_braces(chamber), SPACING, ACROSS), gas)
    shift = _shift(chamber, found, gas, steps)
    told = (_mode_set(found, chamber), _mode_set(bare, chamber))
    frequency, reach, fits = np.zeros(0), dict[str, Reach](), 0.0
    if load is not None and any(name.startswith(DRIVER) for name in found.openings):
        frequency = _points(*told)
        reach, fits = _reaches(inside, grid, load, gas, frequency, steps)
    steps.tell(1.0, "Done.")
    return AirAnswer(
        room, *told, shift, found.volume,
        math.nan if inside.net is None else inside.net, len(chamber.plates),
        _least_open(chamber), bool(inside.chamber.linings), fits, frequency, reach,
        inside.simplified,
    )


def _shift(chamber: Chamber, found: Modes, air: Air, steps: _Steps) -> FloatArray:
    """What the lower modes come out higher by than on half the spacing, per cent, (m,)."""
    shift = np.full(found.frequency.size, math.nan)
    if not shift.size:
        return shift
    highest = max(HALVED_TO, 1.05 * float(found.frequency[0]))
    fine = steps.mode(0.16, "Air modes on half the spacing.",
                      made(chamber, 0.5 * SPACING, 2 * ACROSS), air, highest).frequency
    count = min(int(np.sum(found.frequency <= highest)), fine.size)
    shift[:count] = 100.0 * (found.frequency[:count] / fine[:count] - 1.0)
    return shift


@dataclass(frozen=True)
class _Steps:
    """Tells how far it is and asks whether to go on."""

    tell: Tell
    cancelled: Callable[[], bool] | None

    def mode(self, share: float, says: str, grid: Grid, air: Air,
             highest: float = HIGHEST) -> Modes:
        if self.cancelled is not None and self.cancelled():
            raise Stopped
        self.tell(share, says)
        return rigid_modes(grid, highest, air)


def _least_open(chamber: Chamber) -> float:
    """Open share of the brace with the least, by its span between the walls."""
    shares = []
    for plate in chamber.plates:
        first, second = (k for k in range(3) if "xyz"[k] != plate.across)
        lower, upper = chamber.lower, chamber.upper
        sides = [upper[k] - lower[k] for k in (first, second)]
        if plate.span is not None:
            sides = [min(plate.span.upper[i], upper[k]) - max(plate.span.lower[i], lower[k])
                     for i, k in enumerate((first, second))]
        shares.append(sum(window.area for window in plate.windows) / math.prod(sides))
    return min(shares, default=math.nan)


def _points(*sets: ModeSet) -> FloatArray:
    """Frequencies of the curves, close together about the modes that port or cone see."""
    near = [(each.frequency[np.any(each.couples >= COUPLES, axis=0), None] * (1.0 + ABOUT)).ravel()
            for each in sets]
    every = np.unique(np.concatenate([np.geomspace(LOWEST, HIGHEST, POINTS), *near]))
    return every[(every >= LOWEST) & (every <= HIGHEST)]


# --- how far modes reach --------------------------------------------------------------------------


def _reaches(inside: RoomAir, braced: Grid, load: AirLoad, air: Air, frequency: FloatArray,
             steps: _Steps) -> tuple[dict[str, Reach], float]:
    """Every state's answer, and from where on the lining's law fits, Hz."""
    grids = {"braced": braced}
    plain = without_braces(braced.chamber)
    if braced.chamber.plates:
        grids = {"bare": made(plain, braced.spacing, braced.across), **grids}
    if inside.chamber.linings:
        grids["lined"] = made(inside.chamber, braced.spacing, braced.across)
    found, fits = {}, 0.0
    for k, (state, grid) in enumerate(grids.items()):
        start, width = 0.4 + 0.6 * k / len(grids), 0.6 / len(grids)

        def told(share: float, says: str, start: float = start, width: float = width) -> None:
            steps.tell(start + width * share, says)

        basis = reduced_basis(problem(grid, air), 0.99 * LOWEST, 1.01 * HIGHEST, SOLVES, told,
                              steps.cancelled)
        answer = swept(basis, frequency)
        if state == "lined":
            good = frequency[answer.fits]
            fits = float(good[0]) if good.size else math.inf
        found[state] = reach_of(answer, load, air)
    return found, fits


def reach_of(closed: ChamberResponse, load: AirLoad, air: Air) -> Reach:
    """One state's answer with the port's air moving.

    Parameters
    ----------
    closed : ChamberResponse
        With the port closed, if there is one; its first "driver" is the cone.
    load : AirLoad
        Cone and port.
    air : Air
        The air in the port.

    Returns
    -------
    Reach
        Over the frequencies of `closed`.
    """
    driver = next(name for name in closed.openings if name.startswith(DRIVER))
    omega = 2.0 * math.pi * closed.frequency
    even = closed.uniform
    nothing = np.full(closed.frequency.shape, math.nan)
    answer, port_db, leak_db = closed, nothing, nothing
    if PORT in closed.openings and load.port_area > 0.0:
        reactance = 2.0 * math.pi * load.tuning * air.density * (
            load.port_length + load.inner_end) / load.port_area
        outside, whole = (port_impedance(closed.frequency, load.port_area, length,
                                         reactance / load.port_q, air)
                          for length in (load.port_length, load.port_length + load.inner_end))
        answer = opened(closed, PORT, outside)
        flow = np.abs(answer.pressure(PORT, driver) / outside)
        port_db = 20.0 * np.log10(flow)
        leak_db = 20.0 * np.log10(flow / np.abs(even / (even + whole)))
        even = even * whole / (even + whole)
    at_cone = answer.pressure(driver, driver)
    alone = 1j * omega * load.mass
    held = alone + load.sd**2 * at_cone
    taken = np.maximum(at_cone.real, 1e-12) * load.sd**2 / np.abs(held)
    cone_leak_db = 20.0 * np.log10(np.abs(at_cone / even))
    tuned = closed.frequency < VALID * load.tuning
    return Reach(np.where(tuned, math.nan, leak_db), np.where(tuned, math.nan, cone_leak_db),
                 port_db + 20.0 * np.log10(np.abs(alone / held)), 20.0 * np.log10(taken))


def _mode_set(modes: Modes, chamber: Chamber) -> ModeSet:
    driver = next((k for k, name in enumerate(modes.openings) if name.startswith(DRIVER)), None)
    couples = np.zeros((2, modes.frequency.size))
    if driver is not None:
        couples[1] = modes.coupling[driver] ** 2
        if PORT in modes.openings:
            couples[0] = np.abs(modes.coupling[driver] * modes.coupling[modes.openings.index(PORT)])
    return ModeSet(np.array(modes.frequency), modes.orders,
                   tuple(strong_at(modes.nodes, shape, chamber) for shape in modes.shape), couples)
