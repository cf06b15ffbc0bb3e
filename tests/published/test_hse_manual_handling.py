"""HSE guidance on the Manual Handling Operations Regulations 1992: teams; read second hand.

The case of 20 kg alone and 26.6 kg for two is printed in a railway's safety pages, cut not rounded.
"""

import pytest

from speakerwright.acoustics.safety import lifting

CHECKS = [(lifting.team_capability, "HSE, Manual Handling Operations Regulations 1992", "read")]


@pytest.mark.parametrize(("people", "limit"), [(1, 20.0), (2, 26.6667), (3, 30.0)])
def test_teams(people, limit):
    assert lifting.team_capability(20.0, people) == pytest.approx(limit, rel=1e-5)
