"""The port at level: the describing resistance against the motion in time and against energy."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from acoustics.test_largesignal import LOSSY, PORT, WOOFER
from speakerwright.acoustics.largesignal.model import LargeSignal, Outlet
from speakerwright.acoustics.largesignal.port import (
    describing_resistance,
    port_compression,
    port_loss,
)
from speakerwright.acoustics.largesignal.tones import steady_tone


def test_loss_is_a_share_of_the_dynamic_pressure():
    area, density, speed = 0.0157, 1.2, 20.0
    assert port_loss(area, density) * (area * speed) ** 2 == pytest.approx(1.5 * 240.0)
    assert port_loss(area, density, 0.4) == pytest.approx(port_loss(area, density) * 0.4 / 1.5)


def test_describing_resistance_takes_the_same_power():
    loss, peak = 3000.0, 0.2
    turbulent = quad(lambda turn: loss * abs(peak * math.sin(turn)) ** 3, 0, 2 * math.pi)[0]
    resistive = float(describing_resistance(loss, peak)) * peak**2 / 2
    assert resistive == pytest.approx(turbulent / (2 * math.pi), rel=1e-9)


@pytest.mark.parametrize("pressure", [1.0, 300.0, 1e5])
def test_fixed_point_of_a_source_behind_a_mass(pressure):
    # p = j w M U + (8 / 3 pi) k U^2 has a closed solution for U^2
    omega, mass, loss = 2 * math.pi * np.array([20.0, 50.0, 90.0]), 60.0, 4000.0
    found = port_compression(
        lambda r: pressure / np.abs(1j * omega * mass + r), loss)
    square = (8 / (3 * math.pi) * loss) ** 2
    react = (omega * mass) ** 2
    flow = np.sqrt((-react + np.sqrt(react**2 + 4 * square * pressure**2)) / (2 * square))
    assert np.allclose(found.flow, flow, rtol=2e-6)
    assert np.allclose(found.resistance, 8 / (3 * math.pi) * loss * flow, rtol=1e-5)
    free = pressure / (omega * mass)
    assert np.allclose(found.compression_db, 20 * np.log10(free / flow), atol=1e-4)


def test_two_ports_of_different_loss_at_once():
    losses = np.array([[4000.0], [0.0]])
    found = port_compression(
        lambda r: np.broadcast_to(100.0 / np.abs(300j + r), (2, 1)), losses)
    assert found.compression_db[0, 0] > 0.1
    assert found.compression_db[1, 0] == 0.0


def test_the_circuit_at_level_is_the_motion_in_time():
    # Near the tuning nearly all flow is the port's, so its turbulence shows.
    volts, frequency = 25.0, 50.0
    loud = LargeSignal(WOOFER, LOSSY, outlet=PORT)

    def flow_at(resistance):
        each = [steady_tone(LargeSignal(WOOFER, LOSSY, outlet=Outlet(
            PORT.mass, PORT.resistance + float(r))), frequency, volts) for r in resistance]
        return np.array([abs(port_flow(tone)) for tone in each])

    def port_flow(tone):
        # the leak is counted with it: a seventh of it at most, and alike in both
        return tone.volume_velocity[1] - WOOFER.sd * 2j * math.pi * frequency * tone.displacement[1]

    in_time = steady_tone(loud, frequency, volts)
    found = port_compression(flow_at, PORT.loss)
    # the third harmonic of the loss comes back to the fundamental: a describing function errs so
    assert found.flow[0] == pytest.approx(abs(port_flow(in_time)), rel=0.01)
    assert found.compression_db[0] > 0.8
    assert in_time.harmonic(3) > 0.005


def test_bad_figures_and_no_agreement_are_told():
    with pytest.raises(ValueError, match="above zero"):
        port_loss(0.0, 1.2)
    with pytest.raises(ValueError, match="negative"):
        port_loss(0.01, 1.2, -0.1)
    turns = iter(range(100))
    with pytest.raises(ArithmeticError, match="no level"):
        port_compression(lambda r: np.array([1.0 + next(turns) % 2]), 10.0)
