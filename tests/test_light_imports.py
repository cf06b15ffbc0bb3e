"""Heavy libraries are imported only by the command that needs them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

EXAMPLE = str(Path(__file__).parents[1] / "examples" / "harbour-hall")
SOLIDS = ("shapely", "manifold3d", "ezdxf")
HEAVY = ("matplotlib", "typst", "scipy.signal", "scipy.stats", "pint", *SOLIDS)

SCRIPT = """
import sys
sys.argv = ["speakerwright", *sys.argv[1:]]
from speakerwright.cli import main
try:
    main()
except SystemExit:
    pass
print("LOADED", *sorted(sys.modules))
"""


def _loaded(*arguments: str) -> set[str]:
    done = subprocess.run([sys.executable, "-c", SCRIPT, *arguments], capture_output=True,
                          text=True, check=True)
    return set(done.stdout.rsplit("LOADED", 1)[1].split())


@pytest.mark.parametrize(
    ("arguments", "needed"),
    [(("rule", "port_gap"), ()), (("--help",), ()),
     (("check", EXAMPLE), ("pint", "shapely", "manifold3d")),
     *(((stage, EXAMPLE), ("pint",)) for stage in ("brief", "drivers", "bass")),
     (("bass", EXAMPLE, "--json"), ("pint",))],
)
def test_what_a_command_loads(arguments: tuple[str, ...], needed: tuple[str, ...]) -> None:
    loaded = _loaded(*arguments)
    assert [name for name in HEAVY if name in loaded and name not in needed] == []
    if not needed:
        assert "numpy" not in loaded
