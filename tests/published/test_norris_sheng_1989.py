"""End correction of a tube in an infinite flange: King 1936, Nomura et al. 1960, Norris and Sheng.

A. N. Norris and I. C. Sheng, J. Sound Vib. 135, 85 (1989); 0.8216 read in Dalmont et al. 2001,
0.8217 also printed: half a unit of the last digit of both.
"""

import pytest

from speakerwright.acoustics import ports

CHECKS = [(ports.flanged_end, "Norris and Sheng, J. Sound Vib. 135, 85 (1989)", "read")]


def test_flanged_end():
    # port_flanged
    found = ports.flanged_end(0.04) / 0.04
    assert found == pytest.approx(0.82165, abs=1e-4)
