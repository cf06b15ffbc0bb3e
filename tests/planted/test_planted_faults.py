"""Planted faults turn a test red: a sample always, all of them under `make prove`."""

import pytest

from planted import run
from planted.faults import FAULTS

SOURCE = run.ROOT / "src" / "speakerwright"
SAMPLE = [
    ("circuits/filters.py", "Butterworth Q"),
    ("circuits/parts.py", "capacitance"),
    ("acoustics/ports.py", "Helmholtz"),
    ("acoustics/heat.py", "copper"),
    ("brief/stage.py", "reverberant field"),
]


def test_every_fault_still_has_its_place():
    for fault in FAULTS:
        text = (SOURCE / fault.module).read_text(encoding="utf-8")
        assert text.count(fault.old) > fault.occurrence, (fault.module, fault.what)
        assert fault.new != fault.old
    assert len(FAULTS) >= 60
    names = [(f.module, f.what) for f in FAULTS]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(("module", "what"), SAMPLE)
def test_a_planted_fault_turns_a_test_red(module, what):
    fault = next(f for f in FAULTS if (f.module, f.what) == (module, what))
    assert run.outcome(fault).caught_by is not None


@pytest.mark.prove
def test_all_planted_faults():
    outcomes = run.plant_all(FAULTS)
    missed = [(o.fault.module, o.fault.what) for o in outcomes if o.caught_by is None]
    print(f"{len(outcomes) - len(missed)} of {len(outcomes)} planted faults caught")
    assert not missed
