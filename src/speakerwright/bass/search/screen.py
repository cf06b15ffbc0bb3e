"""The screen: every candidate by a lumped circuit in closed form, many cells at once.

As the full circuit it has the voice coil's law, the source's resistance, box and port losses, and
what a port radiates. It leaves out that a port's air gives along its length and drags at its wall,
what stands before a port's inner end, its plane-wave limit of radiation, fill, and all frequencies
but some of the full grid.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from speakerwright.acoustics.pistons import level_db, pressure_from_volume_velocity
from speakerwright.bass.filters import hand_over
from speakerwright.bass.inputs import ChamberInput, Equivalent, equivalent
from speakerwright.bass.limits import PORT_SPEED_LIMIT, PerVolt, limits
from speakerwright.bass.result import Need
from speakerwright.bass.search.figures import (
    band_headroom_db,
    band_of,
    extension,
    room_below_db,
    scores,
)
from speakerwright.bass.search.front import Band, Flags, may_stand
from speakerwright.bass.search.space import (
    Bounds,
    Cells,
    Chunk,
    Family,
    Numbers,
    Tube,
    cells_of,
    corner,
)
from speakerwright.bass.stage import GRID
from speakerwright.circuits.filters import high_pass
from speakerwright.circuits.parts import Complex, Real

DRONE = "passive radiator"
HIGHEST_PEAK = 500.0  # Hz: a band-pass box is judged against its highest level up to there
FLATTEST = 0.3  # the extension's logarithm moves no more for 1 dB: a rule of thumb
OCTAVE_DB = 12.0  # what an octave of missing extension counts beside missing level: rule of thumb


@dataclass(frozen=True, eq=False)
class Screen:
    """Candidates of some cells in their order.

    `values` (n, 4) are cost, size (m³), extension (Hz) and headroom (dB). `sure` says which are
    possible and near the brief even if the screen errs by its band, `possible` which may be;
    `short_db` (n,) by how much each misses the brief, infinite where it cannot be built. `widths`
    (n, 4) is half the band of every score.
    """

    values: Real
    widths: Real
    sure: Flags
    possible: Flags
    short_db: Real


@dataclass(frozen=True, eq=False)
class Picked:
    """What one chunk hands on: those that may be on the front, and the one nearest to the brief."""

    chunk: int
    numbers: Numbers
    values: Real
    widths: Real
    sure: Flags
    nearest: int
    nearest_short_db: float


@dataclass(frozen=True, eq=False)
class Solved:
    """One volt at the amplifier over (m cells, f): level, peak excursion (m), current, power.

    `flow` is what the port carries (m³/s, rms), `swing` a passive radiator's peak excursion.
    """

    level_db: Real
    excursion: Real
    current: Real
    power: Real
    flow: Real | None
    swing: Real | None


def coarse(need: Need) -> Real:
    """The frequencies (f,) of the screen: those of the full grid that matter, thinned elsewhere."""
    return _coarse(need.lowest, need.highest)


@lru_cache(maxsize=64)
def _coarse(lowest: float, highest: float) -> Real:
    ratio, k = GRID / lowest, np.arange(GRID.size)
    step = np.select([ratio < 0.6, ratio < 0.87, ratio < 1.6, ratio < 4.0], [3, 2, 1, 3], 8)
    need = Need(0.0, 0.0, "pink", lowest, 0.0, highest)
    inside = np.flatnonzero(band_of(GRID, need))
    ends = inside[[0, -1]] if inside.size else np.array([0, GRID.size - 1])
    wanted = (k % step == 0) | np.isin(k, ends)
    top = max(float(GRID[ends[-1]]), HIGHEST_PEAK)
    found: Real = GRID[wanted & (top >= GRID)]
    found.setflags(write=False)
    return found


def picked(chunk: Chunk, which: int, band: Band) -> Picked:
    """Work one chunk out and keep what may matter: the function that workers run."""
    found = screened(chunk.family, chunk.need, chunk.bounds, chunk.start, chunk.stop, band)
    kept = np.flatnonzero(found.possible)
    stands = may_stand(scores(found.values[kept]), found.widths[kept], found.sure[kept])
    kept = kept[stands]
    k = int(np.argmin(found.short_db))
    return Picked(which, kept + chunk.first, found.values[kept], found.widths[kept],
                  found.sure[kept], k + chunk.first, float(found.short_db[k]))


def screened(
    family: Family, need: Need, bounds: Bounds, start: int, stop: int, band: Band
) -> Screen:
    """Screen all candidates of the cells from `start` to `stop`."""
    frequency, cells = coarse(need), cells_of(family, start, stop)
    solved = solve(family, cells, frequency)
    asymptote = asymptote_db(family, frequency, solved)
    level, ports = _limits(family, need, frequency, solved)
    slope = hand_over(family.inputs, frequency)
    reach, below, peak, slant = _filtered(family, need, frequency, cells, solved, asymptote, slope)
    size, misfit, air = _ports(family, bounds, cells)
    m, t, g = len(cells.volume), len(family.tubes), len(family.guards)
    shape = (m, t, g)
    headroom = np.minimum(np.minimum(level[:, None, None], ports[:, :, None]), below[:, None, :])
    price = np.inf if family.price is None else family.price
    values = np.stack([
        np.broadcast_to(np.asarray(each, dtype=np.float64), shape).reshape(-1)
        for each in (price, size[:, :, None], reach[:, None, :], headroom)
    ], axis=1)
    unfit, highest, share, steepness = (
        np.broadcast_to(each, shape).reshape(-1)
        for each in (misfit[:, :, None], peak[:, None, :], air[:, :, None], slant[:, None, :]))
    widths = band.widths(share, steepness, band_pass=family.loading == "band-pass-4")
    return _judged(values, widths, unfit, highest, need, bounds, band)


def _judged(
    values: Real, widths: Real, misfit: Real, peak_db: Real, need: Need, bounds: Bounds,
    band: Band,
) -> Screen:
    """Which candidates are possible, with the screen's band on either side of each bound."""
    _, size, reach, headroom = values.T
    _, more_size, more_reach, more_headroom = widths.T
    longest = need.lowest * (1.0 + bounds.short_share)

    def within(side: float) -> Flags:
        return np.asarray(
            (size <= bounds.inside * np.exp(side * more_size))
            & (reach <= longest * np.exp(side * more_reach))
            & (headroom >= -bounds.short_db - side * more_headroom)
            & (peak_db <= bounds.peak_db + side * band.peak_db)
            & (misfit <= side * band.length)
        )

    missed = np.maximum(-headroom, 0.0) + OCTAVE_DB * np.log2(
        np.maximum(reach / need.lowest, 1.0))
    built = (misfit <= 0.0) & (size <= bounds.inside) & (peak_db <= bounds.peak_db)
    short = np.where(built & np.isfinite(missed), missed, np.inf)
    return Screen(values, widths, within(-1.0), within(1.0), short)


# --- the circuit ----------------------------------------------------------------------------------


def solve(family: Family, cells: Cells, frequency: Real) -> Solved:
    """Solve the lumped circuit of some cells (m) at frequencies (f,) in Hz in closed form."""
    inputs, driver = family.inputs, equivalent(family.inputs)
    omega = 2.0 * math.pi * frequency
    s = 1j * omega
    behind, opened, radiates = _behind(family, cells, omega, driver)
    before = np.zeros_like(behind) if cells.front is None else _before(inputs, cells, omega)
    moving = driver.rms + s * driver.mms + 1.0 / (s * driver.cms)
    mechanical = moving + driver.sd**2 * (behind + before)
    resistance = inputs.chamber.source_resistance
    electrical = driver.coil.impedance(omega) + resistance
    velocity = driver.bl / (electrical * mechanical + driver.bl**2)
    current = velocity * mechanical / driver.bl
    cone = driver.sd * velocity
    flow, total = None, cone * behind * radiates
    if cells.front is not None and cells.tuning is not None:
        flow = cone * before / _port(inputs, cells.front, cells.tuning, omega, _FRONT_Q)
        total = flow - cone * behind * _leak(inputs, cells, cells.tuning)
    elif opened is not None:
        flow = cone * behind / opened
    swing = None
    if inputs.passive is not None and flow is not None:
        area = inputs.passive.count * inputs.passive.sd
        swing, flow = math.sqrt(2.0) * np.abs(flow) / area / omega, None
    pressure = pressure_from_volume_velocity(frequency, total, 1.0, inputs.air, inputs.solid_angle)
    power = ((1.0 - resistance * current) * current.conj()).real
    return Solved(level_db(pressure), math.sqrt(2.0) * np.abs(velocity) / omega, np.abs(current),
                  power, None if flow is None else np.abs(flow), swing)


_FRONT_Q = 60.0  # what the section of a front chamber has where nothing is said


def _compliance(inputs: ChamberInput, volume: Real) -> Real:
    return np.asarray(volume / (inputs.air.density * inputs.air.speed**2))


def _behind(
    family: Family, cells: Cells, omega: Real, driver: Equivalent
) -> tuple[Complex, Complex | None, Complex]:
    """Impedance of the air behind the cone, of what opens it, and what its pressure radiates.

    The last, an admittance, is that of the air itself: cone, leak and opening together radiate
    what the air takes up.
    """
    inputs, losses = family.inputs, family.inputs.chamber.losses
    s, compliance = 1j * omega, _compliance(inputs, cells.volume)
    tuning, opened = cells.tuning, None
    if inputs.passive is not None:
        opened, tuning = _drones(inputs, cells, omega, compliance)
    elif tuning is not None and cells.front is None:
        opened = _port(inputs, cells.volume, tuning, omega, losses.port_q)
    if tuning is None:
        tuning = driver.fs * np.sqrt(1.0 + driver.sd**2 * driver.cms / compliance)
    held = 1.0 / (s * compliance[:, None])
    if losses.absorption_q is not None:
        held = held + (1.0 / (losses.absorption_q * 2.0 * math.pi * tuning * compliance))[:, None]
    air = 1.0 / held
    admittance = air + _leak(inputs, cells, tuning)
    if opened is not None:
        admittance = admittance + 1.0 / opened
    return np.asarray(1.0 / admittance), opened, np.asarray(air)


def _leak(inputs: ChamberInput, cells: Cells, tuning: Real) -> Real:
    """Admittance (m, 1) of the leak, whose Q counts at a tuning (m,) in Hz."""
    leak_q = inputs.chamber.losses.leak_q
    compliance = _compliance(inputs, cells.volume)
    if leak_q is None:
        return np.zeros((len(compliance), 1))
    return np.asarray((2.0 * math.pi * tuning * compliance / leak_q)[:, None])


def _before(inputs: ChamberInput, cells: Cells, omega: Real) -> Complex:
    """Impedance (m, f) of a ported front chamber without other losses."""
    assert cells.front is not None
    assert cells.tuning is not None
    air = 1j * omega * _compliance(inputs, cells.front)[:, None]
    port = _port(inputs, cells.front, cells.tuning, omega, _FRONT_Q)
    return np.asarray(1.0 / (air + 1.0 / port))


def _port(
    inputs: ChamberInput, volume: Real, tuning: Real, omega: Real, port_q: float | None
) -> Complex:
    """Impedance (m, f) of a port that tunes volumes (m,), as one mass with its losses.

    What it radiates is part of its Q at the tuning, as in the full circuit.
    """
    at = 2.0 * math.pi * tuning
    reactance = 1.0 / (at * _compliance(inputs, volume))
    per_square = inputs.air.density / (inputs.solid_angle * inputs.air.speed)
    radiates = per_square * omega**2
    extra = np.zeros_like(at) if port_q is None else np.maximum(
        reactance / port_q - per_square * at**2, 0.0)
    mass = reactance / at
    return np.asarray(1j * omega * mass[:, None] + radiates + extra[:, None])


def _drones(
    inputs: ChamberInput, cells: Cells, omega: Real, compliance: Real
) -> tuple[Complex, Real]:
    """Impedance (m, f) of the passive radiators on the box, and their tuning (m,) in Hz."""
    drone = inputs.passive
    assert drone is not None
    assert cells.added_mass is not None
    mass, s = np.maximum(drone.mass + cells.added_mass, 1e-9), 1j * omega
    each = drone.rms + s * mass[:, None] + 1.0 / (s * drone.cms)
    springs = drone.count * drone.sd**2
    stiffness = springs / compliance + 1.0 / drone.cms
    tuning = np.sqrt(stiffness / mass) / (2.0 * math.pi)
    return np.asarray(each / springs, dtype=np.complex128), np.asarray(tuning)


def asymptote_db(family: Family, frequency: Real, solved: Solved) -> Real:
    """Level (m,) of 1 V at 1 m in the pass band: far above resonance, without inductance.

    For a box that passes a band only, its highest level.
    """
    if family.loading == "band-pass-4":
        return np.asarray(np.max(solved.level_db[:, frequency <= HIGHEST_PEAK], axis=1))
    inputs, driver = family.inputs, equivalent(family.inputs)
    resistance = driver.re + inputs.chamber.source_resistance
    level = level_db(inputs.air.density * driver.sd * driver.bl / (
        inputs.solid_angle * resistance * driver.mms))
    return np.full(len(solved.level_db), float(level))


# --- what the figures are made of -----------------------------------------------------------------


def _limits(
    family: Family, need: Need, frequency: Real, solved: Solved
) -> tuple[Real, Real]:
    """Headroom over the band by all limits but the port (m,), and by each of the ports (m, t)."""
    drone = family.inputs.passive
    swings = {} if solved.swing is None or drone is None else {DRONE: (solved.swing, drone.xmax)}
    per_volt = PerVolt(solved.level_db, solved.excursion, {}, swings, solved.current, solved.power)
    rooms = band_headroom_db(frequency, solved.level_db,
                             limits(family.inputs, frequency, per_volt).volts, need)
    level = np.min([*rooms.values()], axis=0)
    if solved.flow is None:
        return level, np.full((len(level), len(family.tubes)), np.inf)
    one = PORT_SPEED_LIMIT / (math.sqrt(2.0) * solved.flow)  # for a port of 1 m²
    port = band_headroom_db(frequency, solved.level_db, {"port": one}, need)["port"]
    areas = np.array([_given(tube).area for tube in family.tubes])
    return level, port[:, None] + 20.0 * np.log10(areas)


def _filtered(
    family: Family, need: Need, frequency: Real, cells: Cells, solved: Solved, asymptote: Real,
    slope: Complex,
) -> tuple[Real, Real, Real, Real]:
    """Extension, room below the band, highest point over the asymptote, steepness, each (m, g)."""
    xmax, inside = family.inputs.ratings.xmax, band_of(frequency, need)
    assert xmax is not None
    found = []
    for guard in family.guards:
        at = corner(guard, cells.tuning, family.loading, need.lowest)
        gain = np.ones((1, frequency.size))
        if guard is not None and at is not None:
            shared = np.ravel(at)[:, None]
            gain = np.abs(high_pass(frequency / shared, 1.0, guard.order))
        relative = solved.level_db + 20.0 * np.log10(gain) - asymptote[:, None]
        reach = extension(frequency, relative, need.lowest_drop_db)
        below = room_below_db(
            frequency, solved.excursion * gain * np.abs(slope), asymptote, xmax, need)
        peak = np.max(relative[:, inside], axis=-1)
        steepness = _steepness(frequency, relative, need.lowest_drop_db, reach)
        found.append((reach, below, peak, steepness))
    reaches, belows, peaks, slants = (np.stack(each, axis=1) for each in zip(*found, strict=True))
    return reaches, belows, peaks, slants


def _steepness(frequency: Real, relative_db: Real, drop_db: float, reach: Real) -> Real:
    """How far (m,) the extension's logarithm moves for 1 dB either way, at most `FLATTEST`."""
    with np.errstate(invalid="ignore", divide="ignore"):
        moves = [np.abs(np.log(extension(frequency, relative_db, drop_db + side) / reach))
                 for side in (-1.0, 1.0)]
        far = np.maximum(*moves)
    return np.where(far <= FLATTEST, far, FLATTEST)  # not a number counts as flat


def _ports(family: Family, bounds: Bounds, cells: Cells) -> tuple[Real, Real, Real]:
    """Size (m³), how far a port misses what can be built, and its air as a share, each (m, t).

    Without a port none of the latter: `misfit` is far below zero there.
    """
    net = cells.volume + (0.0 if cells.front is None else cells.front) + family.body
    size = np.repeat(net[:, None], len(family.tubes), axis=1)
    misfit, air = np.full(size.shape, -1.0), np.zeros(size.shape)
    if cells.added_mass is not None:
        misfit[cells.added_mass < 0.0] = np.inf
    held = cells.volume if cells.front is None else cells.front
    for k, tube in enumerate(family.tubes):
        if tube is None or cells.tuning is None:
            continue
        length, ends = _port_length(family.inputs, held, cells.tuning, tube)
        size[:, k] += tube.section * np.maximum(length - family.inputs.seat.baffle, 0.0)
        most = longest_port(bounds, held, cells.front is not None)
        misfit[:, k] = np.maximum((length - most) / most, -length / ends)
        air[:, k] = np.minimum(tube.area * np.maximum(length, 0.0) / held, 1.0)
    return size, misfit, air


def _port_length(
    inputs: ChamberInput, volume: Real, tuning: Real, tube: Tube
) -> tuple[Real, float]:
    """Length (m,) of a port by its plug of air, and its end corrections together, in m."""
    mass = 1.0 / ((2.0 * math.pi * tuning) ** 2 * _compliance(inputs, volume))
    ends = tube.ends(inputs)
    return np.asarray(mass * tube.area / inputs.air.density - ends), ends


def longest_port(bounds: Bounds, volume: Real, front: bool) -> Real:
    """The longest port (m) in volumes (m³): as the room behind it, else as a cube is wide."""
    if bounds.behind_port is not None and not front:
        return np.full(np.shape(volume), bounds.behind_port)
    return np.cbrt(volume)


def _given(tube: Tube | None) -> Tube:
    assert tube is not None  # a family with ports has no cell without one
    return tube

