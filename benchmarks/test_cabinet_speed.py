"""How long the cabinet takes on the harbour hall; a goal that is missed turns it red."""

from __future__ import annotations

from itertools import cycle
from pathlib import Path
from typing import Any

import pytest

from speakerwright.cabinet import stage
from speakerwright.chain import Memo, settle, work
from speakerwright.design.file import read_project
from speakerwright.solids.assembly import collisions

EXAMPLES = Path(__file__).parents[1] / "examples"


@pytest.fixture(scope="module")
def hall() -> Any:
    return work(read_project(EXAMPLES / "harbour-hall").design, Memo())


def built(found: Any) -> Any:
    return stage._built(found.design, found.settled.sizes, found.cabinet.ports)


def test_rebuild_with_solids(benchmark: Any, hall: Any) -> None:
    def rebuild() -> int:
        _, _, panels, bodies, _ = built(hall)
        return sum(panel.solid().num_tri() for panel in panels) + len(bodies)

    assert benchmark(rebuild) > 1000
    assert benchmark.stats["median"] < 0.100


def test_collisions(benchmark: Any, hall: Any) -> None:
    def fresh() -> tuple[Any, Any]:
        _, _, panels, bodies, _ = built(hall)
        return ([*panels, *bodies],), {}

    assert benchmark.pedantic(collisions, setup=fresh, rounds=15) == ()
    assert benchmark.stats["median"] < 0.100


def test_the_cabinet_stage(benchmark: Any, hall: Any) -> None:
    found = benchmark(stage.work, hall.design, hall.settled, hall.cabinet.ports)
    assert found.collisions == ()
    assert benchmark.stats["median"] < 0.200


def test_settle_a_free_height(benchmark: Any) -> None:
    design = read_project(EXAMPLES / "desk-pair").design
    assert benchmark(settle, design).closed


def test_the_whole_chain_after_an_edit_of_the_depth(benchmark: Any, hall: Any) -> None:
    """Everything that rests on the depth is new each time: bass, cabinet, cutting."""
    depths = cycle(range(3000, 4000))
    memo = Memo(4)

    def edit() -> Any:
        changed = hall.design.with_value("cabinet.depth", f"{next(depths) / 10} mm")
        return work(changed, memo)

    assert benchmark.pedantic(edit, rounds=10, warmup_rounds=1).cutting is not None
