"""Project folders for tests: the example, copied, and what it holds."""

from __future__ import annotations

import shutil
from pathlib import Path

ROOT = Path(__file__).parents[2]
HALL = ROOT / "examples" / "harbour-hall"
THREE_WAY = Path(__file__).parent / "three-way"


def copied(source: Path, target: Path) -> Path:
    """A copy of a project's design file and records."""
    (target / "records").mkdir(parents=True)
    shutil.copy(source / "design.toml", target)
    for record in sorted((source / "records").glob("*.toml")):
        shutil.copy(record, target / "records")
    return target


def contents(folder: Path) -> dict[str, bytes]:
    """Every file's bytes by its path inside a folder."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*")) if path.is_file()
    }


def leaves(node, path=()):
    """The paths of all written values."""
    if isinstance(node, dict):
        for name, inner in node.items():
            yield from leaves(inner, (*path, name))
    elif isinstance(node, list):
        for k, inner in enumerate(node):
            yield from leaves(inner, (*path, str(k)))
    else:
        yield path
