import math

import pytest

from speakerwright.acoustics.limits import require_above_zero


def test_values_above_zero_pass():
    require_above_zero(length=1e-300, gap=math.inf)


@pytest.mark.parametrize("value", [0.0, -1.0, -math.inf, math.nan])
def test_others_are_named(value):
    with pytest.raises(ValueError, match="duct radius must be above zero"):
        require_above_zero(length=1.0, duct_radius=value)
