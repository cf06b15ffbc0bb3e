"""D. K. Wilson, Relaxation-matched modeling of propagation through porous media, JASA 94, 1136.

1993; the two relaxation laws read second hand, for exp(-j omega t), conjugated here.
"""

import cmath
import math

import pytest

from speakerwright.acoustics import linings
from speakerwright.acoustics.air import Air
from speakerwright.acoustics.linings import Fill

SOURCE = "Wilson, JASA 94, 1136 (1993)"
CHECKS = [(linings.effective_density, SOURCE, "read"), (linings.bulk_modulus, SOURCE, "read"),
          (linings.relaxing, SOURCE, "read")]
AIR = Air()


@pytest.mark.parametrize("frequency", [15.0, 150.0, 1500.0])
def test_both_relaxations(frequency):
    sigma, omega = 6000.0, 2 * math.pi * frequency
    drag = 2.0 * AIR.density / sigma  # so that j omega rho tends to sigma
    heat = drag * 0.71 * 2.0
    root = cmath.sqrt(1 - 1j * omega * drag)
    density = AIR.density * root / (root - 1)
    root = cmath.sqrt(1 - 1j * omega * heat)
    stiffness = AIR.density * AIR.speed**2 * root / (root + AIR.heat_ratio - 1)
    fill = Fill(sigma)
    found = linings.effective_density([frequency], fill, AIR)[0]
    assert found == pytest.approx(density.conjugate(), rel=1e-12)
    found = linings.bulk_modulus([frequency], fill, AIR)[0]
    assert found == pytest.approx(stiffness.conjugate(), rel=1e-12)
    propagation, impedance = linings.relaxing([frequency], fill, AIR)
    index = cmath.sqrt(density / stiffness).conjugate()
    assert propagation[0] == pytest.approx(1j * omega * index, rel=1e-12)
    assert impedance[0] == pytest.approx(cmath.sqrt(density * stiffness).conjugate(), rel=1e-12)
