"""Curves and heat in a driver's record: read in SI, and refused in plain sentences, all at once."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from speakerwright.design.complaints import sentences
from speakerwright.design.records import Record

TABLE = [["-8 mm", "11 T m"], ["0 mm", "15 T m"], ["8 mm", "10 T m"]]
RANGE = ["-8 mm", "8 mm"]


def record(large=None, thermal=None):
    figures = {name: each for name, each in (("large_signal", large), ("thermal", thermal))
               if each is not None}
    return Record.model_validate({"format": 1, "what": "driver", "type": "cone",
                                  "name": "a woofer", "measured": figures})


def test_curves_in_si():
    found = record({
        "bl_x": TABLE, "kms_polynomial": [5.0, 0.1, 0.03], "range": RANGE, "creep": 0.1,
        "le_x": [["-8 mm", "0.9 mH"], ["0 mm", "0.6 mH"], ["8 mm", "450 uH"]],
    }).measured.large_signal
    assert found.bl_x[0] == pytest.approx((-0.008, 11.0))
    assert found.le_x[2] == pytest.approx((0.008, 4.5e-4))
    assert found.range == pytest.approx((-0.008, 0.008))
    assert found.curve("bl").at([-0.008, 0.0, 0.008]) == pytest.approx([11 / 15, 1.0, 2 / 3])
    # 5 + 0.4 + 0.48 N/mm at 4 mm
    assert found.curve("kms").at(0.004) == pytest.approx(5.88 / 5.0, rel=1e-9)
    assert found.curve("le").at(0.008) == pytest.approx(0.75)
    assert found.creep == 0.1


def test_what_is_not_given_is_none():
    found = record({"bl_x": TABLE}).measured.large_signal
    assert found.curve("kms") is None
    assert found.curve("le") is None
    stiff = record({"kms_x": [["-5 mm", "6 N/mm"], ["0 mm", "5 N/mm"], ["5 mm", "7 N/mm"]]})
    assert stiff.measured.large_signal.kms_x[0] == pytest.approx((-0.005, 6000.0))
    assert record().measured.thermal is None


def test_heat_in_si():
    found = record(thermal={"r_coil": "0.55 K/W", "tau_coil": "14 s", "r_magnet": "0.4 K/W",
                            "tau_magnet": "45 min"}).measured.thermal
    assert (found.r_coil, found.tau_coil, found.r_magnet, found.tau_magnet) == pytest.approx(
        (0.55, 14.0, 0.4, 2700.0))


HEAT = {"r_coil": "0.5 K/W", "tau_coil": "14 s", "r_magnet": "0.4 K/W", "tau_magnet": "1 h"}


@pytest.mark.parametrize(("large", "thermal", "told"), [
    ({"bl_x": TABLE[:2]}, None, ["bl_x: it has too few points", "bl_x: it does not reach"]),
    ({"bl_x": TABLE[::-1]}, None, ["bl_x: its displacements do not rise"]),
    ({"kms_x": [["1 mm", "5 N/mm"], ["2 mm", "5 N/mm"], ["3 mm", "5 N/mm"]]}, None,
     ["kms_x: it does not reach to both sides"]),
    ({"bl_polynomial": [15.0]}, None, ["range: a polynomial has no range"]),
    ({"range": RANGE}, None, ["range: no polynomial uses it"]),
    ({"bl_polynomial": [15.0], "range": ["1 mm", "8 mm"]}, None, ["range: it does not reach"]),
    ({"bl_polynomial": [15.0], "bl_x": TABLE, "range": RANGE}, None,
     ["bl_polynomial: bl_x gives the same curve"]),
    ({"bl_polynomial": [15.0, 0.0, -0.5], "le_polynomial": [-0.1], "range": RANGE}, None,
     ["bl_polynomial: its curve falls to zero", "le_polynomial: its curve falls to zero"]),
    ({"bl_x": [["-8 mm", "15 T m"], ["0 mm", "1 T m"], ["1 mm", "15 T m"]]}, None,
     ["bl_x: its curve falls to zero"]),
    ({"bl_x": [["-8 mm", "15 V"], ["0 mm", "1 T m"], ["1 m", "15 T m"]]}, None,
     ["bl_x.0.1: '15 V' is not a force factor", "bl_x.2.0: '1 m' is out of range"]),
    ({"bl_polynomial": ["15"], "range": RANGE}, None, ["bl_polynomial.0: '15' is not a number"]),
    ({"creep": 0.9}, None, ["creep: 0.9 is out of range"]),
    (None, {**HEAT, "tau_magnet": "10 s"}, ["tau_magnet: it is not longer than tau_coil"]),
    (None, {"r_coil": "0.5 K/W"}, ["tau_coil: it is missing", "r_magnet: it is missing",
                                   "tau_magnet: it is missing"]),
    (None, {**HEAT, "r_coil": "0.5"}, ["r_coil: '0.5' is not a thermal resistance"]),
])
def test_what_is_wrong_is_told_all_at_once(large, thermal, told):
    with pytest.raises(ValidationError) as caught:
        record(large, thermal)
    found = [str(each) for each in sentences(caught.value, Record, "")]
    section = "measured.large_signal." if thermal is None else "measured.thermal."
    assert len(found) == len(told), found
    for start in told:
        assert any(each.startswith(section + start) for each in found), (start, found)
