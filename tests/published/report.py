"""Which public functions of physics have a check against the outside, and which have none.

``python tests/published/report.py`` writes the table to docs/outside-checks.md.
"""

from __future__ import annotations

import importlib
import importlib.util
import inspect
import pkgutil
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))  # the checks share figures with the other tests
PAGE = HERE.parents[1] / "docs" / "outside-checks.md"
NOT_PHYSICS = {"limits.require_above_zero", "ends.smooth"}


def name_of(function) -> str:
    """Module and name of a function, a method or a property, below its package."""
    plain = function.fget if isinstance(function, property) else function
    return f"{plain.__module__.removeprefix('speakerwright.acoustics.')}.{plain.__qualname__}"


def public_functions() -> list[str]:
    """All public functions, methods and properties that speakerwright.acoustics defines."""
    package = importlib.import_module("speakerwright.acoustics")
    names = []
    for info in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
        module = importlib.import_module(info.name)
        for name, value in vars(module).items():
            if name.startswith("_") or getattr(value, "__module__", "") != info.name:
                continue
            if inspect.isfunction(value) or hasattr(value, "cache_info"):
                names.append(name_of(value))
            elif inspect.isclass(value) and not getattr(value, "_is_protocol", False):
                names += [
                    name_of(member)
                    for word, member in vars(value).items()
                    if not word.startswith("_")
                    and (isinstance(member, property) or inspect.isfunction(member))
                ]
    return sorted(set(names) - NOT_PHYSICS)


def _modules():
    for path in sorted(HERE.glob("test_*.py")):
        if path.stem == "test_coverage_of_outside_checks":
            continue
        spec = importlib.util.spec_from_file_location(f"outside_{path.stem}", path)
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        yield path, module


def collect() -> tuple[dict[str, list[tuple[str, str]]], dict[str, list[str]]]:
    """Outside checks and own computations, by function."""
    outside: dict[str, list[tuple[str, str]]] = {}
    own: dict[str, list[str]] = {}
    for _, module in _modules():
        for function, source, status in getattr(module, "CHECKS", []):
            outside.setdefault(name_of(function), []).append((source, status))
        for function, source in getattr(module, "OWN", []):
            own.setdefault(name_of(function), []).append(source)
    return outside, own


def page() -> str:
    """The text of docs/outside-checks.md."""
    outside, own = collect()
    known = public_functions()
    checked = [name for name in known if name in outside]
    lines = [
        "# Checks against the outside",
        "",
        "Made by `python tests/published/report.py` from the lists beside the checks in "
        "`tests/published`. Status: *recomputed* (the law is the source's, the figure was worked "
        "out apart from this program), *read* (the figure was seen, sometimes second hand), "
        "*memory*.",
        "",
        f"Of {len(known)} public functions of `acoustics`, {len(checked)} have an outside check.",
        "",
        "| function | source | status |",
        "|---|---|---|",
    ]
    for name in sorted(outside):
        lines += [f"| `{name}` | {source} | {status} |" for source, status in sorted(outside[name])]
    lines += ["", "## Held by own computations only or as well", "",
              "Own computations are not outside checks.", "",
              "| function | computation |", "|---|---|"]
    lines += [f"| `{name}` | {source} |" for name in sorted(own) for source in own[name]]
    lines += ["", "## Without an outside check", ""]
    lines += [f"- `{name}`" for name in known if name not in outside]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    PAGE.parent.mkdir(exist_ok=True)
    PAGE.write_text(page(), encoding="utf-8")
    print(f"wrote {PAGE.name}")
