"""Horns: against the wave equation integrated apart, against each other, and in their limits."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from speakerwright.acoustics import ducts, horns, profiles
from speakerwright.acoustics.air import Air, StatedAir

STATED = StatedAir(1.2041, 343.2)
AIR = Air()
F = np.array([25.0, 80.0, 133.5, 240.0, 700.0, 1900.0])
PROFILES = [
    profiles.conical(0.005, 0.12, 0.65),
    profiles.conical(0.03, 0.008, 1.4),
    profiles.exponential(0.005, 0.12, 0.65),
    profiles.exponential(0.03, 0.008, 1.4),
    profiles.hyperbolic(0.005, 0.12, 0.65, 0.0),
    profiles.hyperbolic(0.005, 0.12, 0.65, 0.6),
    profiles.hyperbolic(0.005, 0.12, 0.65, 30.0),
]


def integrated(frequency, profile, law):
    """Chain matrix by integrating dp/dx = -Z U, dU/dx = -Y p from the end to the start."""
    def rates(x, state):
        series, shunt = law(x)
        return [-series * state[1], -shunt * state[0]]
    columns = []
    for end in ([1.0, 0.0], [0.0, 1.0 / 400.0]):
        found = solve_ivp(rates, (profile.length, 0.0), np.array(end, dtype=complex),
                          rtol=1e-11, atol=1e-13)
        columns.append(found.y[:, -1] / max(end))
    return np.array(columns).T


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("frequency", [40.0, 133.5, 900.0])
def test_a_profile_solves_websters_equation(profile, frequency):
    omega = 2 * math.pi * frequency
    rho, c = STATED.density, STATED.speed

    def law(x):
        return 1j * omega * rho / profile.area(x), 1j * omega * profile.area(x) / (rho * c**2)

    found = horns.two_port([frequency], profile, STATED)[0]
    expected = integrated(frequency, profile, law)
    assert np.allclose(found, expected, rtol=1e-8, atol=1e-9 * np.abs(expected))
    assert profile.area(0.0) == pytest.approx(profile.root**2)


@pytest.mark.parametrize("perimeters", [None, (0.9, 1.6)])
def test_loss_at_the_wall_is_that_of_the_wave_equation_with_it(perimeters):
    profile, frequency = profiles.exponential(0.004, 0.06, 0.9), 180.0
    round_shape = 2 * math.sqrt(math.pi)

    def law(x):
        area = profile.area(x)
        if perimeters is None:
            shape = round_shape
        else:
            first, last = (p / math.sqrt(s) for p, s in zip(perimeters, (0.004, 0.06), strict=True))
            shape = first + (last - first) * x / 0.9
        propagation, impedance = ducts.line([frequency], area, shape * math.sqrt(area), AIR)
        return (propagation * impedance)[0], (propagation / impedance)[0]

    expected = integrated(frequency, profile, law)
    errors = []
    for segments in (8, 16, 64):
        found = horns.lossy_two_port([frequency], profile, perimeters, AIR, segments)[0]
        errors.append(np.max(np.abs(found / expected - 1.0)))
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.1)  # second order
    assert errors[1] < 3e-4
    lossless = horns.two_port([frequency], profile, AIR)[0]
    assert np.max(np.abs(lossless / expected - 1.0)) > 100 * errors[2]


def test_cones_close_on_any_profile_by_second_order():
    load = horns.mouth_load(F, 0.12, AIR)
    errors = []
    for count in (20, 40, 80):
        x = np.linspace(0.0, 0.65, count + 1)
        steps = horns.stepped_two_port(F, x, 0.005 * 24.0 ** (x / 0.65), air=AIR)
        exact = horns.two_port(F, profiles.exponential(0.005, 0.12, 0.65), AIR)
        ratio = horns.throat_impedance(steps, load) / horns.throat_impedance(exact, load)
        errors.append(np.max(np.abs(ratio - 1.0)))
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.02)
    assert errors[1] / errors[2] == pytest.approx(4.0, rel=0.02)
    assert errors[2] < 2e-4


def test_cones_of_a_cone_are_the_cone_with_its_loss():
    x = np.linspace(0.0, 0.65, 17)
    cone = profiles.conical(0.005, 0.12, 0.65)
    area = np.array([cone.area(each) for each in x])
    steps = horns.stepped_two_port(F, x, area, 2 * np.sqrt(math.pi * area), AIR)
    assert np.allclose(steps, horns.lossy_two_port(F, cone, None, AIR, 16), rtol=1e-11)


def test_a_uniform_one_is_a_duct():
    uniform = profiles.conical(0.01, 0.01, 0.8)
    found = horns.lossy_two_port(F, uniform, (0.5, 0.5), AIR)
    expected = ducts.two_port(F, 0.01, 0.5, 0.8, AIR)
    assert np.allclose(found, expected, rtol=1e-11, atol=1e-12 * np.abs(expected))


@pytest.mark.parametrize("profile", PROFILES)
def test_at_low_frequency_it_is_its_volume_of_air_and_its_mass(profile):
    f = np.array([1e-4])
    matrix = horns.two_port(f, profile, STATED)[0] / (2j * math.pi * f[0])
    x = np.linspace(0.0, profile.length, 4001)
    area = np.array([profile.area(each) for each in x])
    volume = np.trapezoid(area, x)
    assert profile.volume == pytest.approx(volume, rel=1e-6)
    assert matrix[1, 0].real * STATED.density * STATED.speed**2 == pytest.approx(volume, rel=1e-6)
    mass = STATED.density * np.trapezoid(1.0 / area, x)
    assert matrix[0, 1].real == pytest.approx(mass, rel=1e-6)


def test_volume_of_a_hardly_bent_profile():
    bent = profiles.hyperbolic(0.005, 0.12, 0.65, 1e6)
    assert bent.volume == pytest.approx(profiles.conical(0.005, 0.12, 0.65).volume, rel=1e-8)


def test_a_large_parameter_tends_to_the_cone_and_one_is_the_exponential_horn():
    cone = horns.two_port(F, profiles.conical(0.005, 0.12, 0.65), STATED)
    near = horns.two_port(F, profiles.hyperbolic(0.005, 0.12, 0.65, 1e5), STATED)
    assert np.allclose(near, cone, rtol=1e-8)
    one = profiles.hyperbolic(0.005, 0.12, 0.65, 1.0)
    same = profiles.exponential(0.005, 0.12, 0.65)
    assert one.slope == pytest.approx(same.slope, rel=1e-12)
    assert one.curvature == pytest.approx(same.curvature, rel=1e-12)


@pytest.mark.parametrize("profile", PROFILES)
def test_halves_make_the_whole_and_reversing_is_turning_round(profile):
    whole = horns.two_port(F, profile, STATED)
    first, second = profile.cut(2)
    both = horns.two_port(F, first, STATED) @ horns.two_port(F, second, STATED)
    assert np.allclose(both, whole, rtol=1e-11, atol=1e-12 * np.abs(whole))
    assert np.allclose(np.linalg.det(whole), 1.0, rtol=1e-11)
    end, slope = profile.root_and_slope(profile.length)
    turned = profiles.Profile(end, -slope, profile.curvature, profile.length)
    assert np.allclose(
        horns.reversed_two_port(whole), horns.two_port(F, turned, STATED), rtol=1e-10
    )


@pytest.mark.parametrize("parameter", [0.0, 0.6, 1.0, 3.0])
def test_a_horn_that_goes_on_for_ever_is_the_endless_one(parameter):
    # The far side is a wave that only leaves: psi = exp(-gamma x), Z = j w rho / S (gamma + r'/r).
    profile = profiles.hyperbolic(0.005, 0.12, 0.65, parameter)
    cutoff = profile.cutoff(343.2)
    f = cutoff * np.array([0.3, 0.8, 1.5, 4.0])
    root, slope = profile.root_and_slope(profile.length)
    k = 2 * math.pi * f / 343.2
    gamma = np.sqrt((profile.curvature - k**2).astype(complex))
    load = 1j * k * 343.2 * 1.2041 / (root**2 * (gamma + slope / root))
    matrix = horns.two_port(f, profile, STATED)
    seen = horns.throat_impedance(matrix, load) * 0.005 / (1.2041 * 343.2)
    assert np.allclose(seen, horns.infinite_horn(f / cutoff, parameter), rtol=1e-9, atol=1e-12)


def test_a_cone_that_goes_on_for_ever():
    apex, f = 0.3, np.array([60.0, 400.0])
    k = 2 * math.pi * f / 343.2
    cone = profiles.conical(0.01, 0.01 * ((apex + 0.7) / apex) ** 2, 0.7)
    load = horns.infinite_cone(k * (apex + 0.7)) * 1.2041 * 343.2 / cone.area(0.7)
    seen = horns.throat_impedance(horns.two_port(f, cone, STATED), load) * 0.01 / (1.2041 * 343.2)
    assert np.allclose(seen, horns.infinite_cone(k * apex), rtol=1e-10)


def test_resonances_of_a_tapered_pipe_lie_where_its_open_end_short_circuits():
    for profile in (*PROFILES[:5], profiles.exponential(0.02, 1e-5, 2.0)):
        f = profiles.closed_open_modes(profile, STATED.speed, 4)
        assert np.all(np.diff(f) > 0.0)
        matrix = horns.two_port(f, profile, STATED)
        beside = horns.two_port(f * 1.001, profile, STATED)[:, 1, 1]
        assert np.all(np.abs(matrix[:, 1, 1]) < 1e-7 * np.abs(beside))


def test_what_cannot_be():
    with pytest.raises(ValueError, match="closes"):
        profiles.Profile(0.1, -0.2, 0.0, 1.0)
    with pytest.raises(ValueError, match="widens"):
        profiles.hyperbolic(0.02, 0.01, 1.0, 0.5)
    with pytest.raises(ValueError, match="end area"):
        profiles.conical(0.02, 0.0, 1.0)
    with pytest.raises(ValueError, match="frequency"):
        horns.two_port([0.0], PROFILES[0])
    with pytest.raises(ValueError, match="ascending"):
        horns.stepped_two_port(F, [0.0, 0.0], [1.0, 1.0])
