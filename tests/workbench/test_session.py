"""A session against a plain model: edits, undo, redo, saves, conflicts, versions, recovery."""

from __future__ import annotations

import asyncio
import shutil
import tempfile
import threading
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from speakerwright.design.file import read_project
from speakerwright.words.errors import DesignErrors
from speakerwright.workbench import recovery, versions
from speakerwright.workbench.changes import differences, outline
from speakerwright.workbench.latest import Latest
from speakerwright.workbench.session import Conflict, Session, stage_of, written

EXAMPLE = Path(__file__).parents[2] / "examples" / "harbour-hall"


@pytest.fixture
def folder(tmp_path):
    return copied(tmp_path / "hall")


def copied(to: Path) -> Path:
    shutil.copytree(EXAMPLE, to, ignore=shutil.ignore_patterns("out", ".work"))
    return to


def on_disk(folder: Path, path: str):
    return written(read_project(folder).design, path)


EDITS = st.one_of(
    st.tuples(st.just("bass.main.volume"), st.integers(30, 90).map(lambda n: f"{n} L")),
    st.tuples(st.just("bass.main.port.tuning"), st.integers(35, 70).map(lambda n: f"{n} Hz")),
    st.tuples(st.just("brief.level.crest"), st.integers(6, 20).map(lambda n: f"{n} dB")),
    st.tuples(st.just("records.moorhoot-12.datasheet.xmax"),
              st.integers(3, 6).map(lambda n: f"{n} mm")),
    st.tuples(st.just("plan.title"), st.sampled_from(["One", "Two", "A “third” \\ title"])),
    st.tuples(st.just("brief.room.noise"), st.sampled_from([None, "30 dB", "35 dB"])),
    st.tuples(st.just("bass.main.volume"), st.sampled_from(["60 W", "none", "-3 L"])),  # refused
)
STEPS = st.lists(
    st.one_of(
        EDITS.map(lambda e: ("edit", e)), EDITS.map(lambda e: ("edit", e)),
        EDITS.map(lambda e: ("drag", e)), st.just(("commit", None)), st.just(("undo", None)),
        st.just(("undo", None)), st.just(("redo", None)), st.just(("save", None)),
    ),
    min_size=200, max_size=200,
)


class Model:
    """What a session should do, on a dict of a few values."""

    paths = ("bass.main.volume", "bass.main.port.tuning", "brief.level.crest",
             "records.moorhoot-12.datasheet.xmax", "plan.title", "brief.room.noise")

    def __init__(self, start):
        self.now, self.committed, self.disk = dict(start), dict(start), dict(start)
        self.back, self.forth = [], []

    def commit(self):
        if self.now != self.committed:
            self.back.append(self.committed)
            self.forth, self.committed = [], dict(self.now)

    def edit(self, path, value):
        self.now[path] = value

    def undo(self):
        self.commit()
        if self.back:
            self.forth.append(self.now)
            self.now = dict(self.back.pop())
            self.committed = dict(self.now)

    def redo(self):
        self.commit()
        if self.forth:
            self.back.append(self.now)
            self.now = dict(self.forth.pop())
            self.committed = dict(self.now)

    def save(self):
        self.commit()
        self.disk = dict(self.now)


def is_refused(value):
    return value in ("60 W", "none", "-3 L")


@settings(max_examples=6, deadline=None, phases=[Phase.generate], derandomize=False,
          suppress_health_check=[HealthCheck.data_too_large,
                                 HealthCheck.large_base_example])
@given(STEPS)
def test_two_hundred_steps_end_where_a_plain_model_ends(steps):
    with tempfile.TemporaryDirectory() as place:
        folder = copied(Path(place) / "hall")
        session = Session(read_project(folder), "tab")
        model = Model({p: written(session.design, p) for p in Model.paths})
        for what, edit in steps:
            if what in ("edit", "drag"):
                assert session.edit(*edit) is not is_refused(edit[1])
                if not is_refused(edit[1]):
                    model.edit(*edit)
                if what == "edit":
                    session.commit()
                    model.commit()
            else:
                getattr(session, what)()
                getattr(model, what)()
        assert {p: written(session.design, p) for p in Model.paths} == model.now
        assert {p: on_disk(folder, p) for p in Model.paths} == model.disk
        assert session.unsaved == (model.now != model.disk)
        assert (len(session.done), len(session.undone)) == (len(model.back), len(model.forth))
        session.commit()
        left = recovery.read(folder, "tab")
        expected = {p: v for p, v in model.now.items() if v != model.disk[p]}
        assert (dict(left.changes) if left else {}) == expected


def test_a_drag_is_one_step_back(folder):
    session = Session(read_project(folder))
    for litres in range(50, 60):
        session.edit("bass.main.volume", f"{litres} L")
    session.commit()
    assert len(session.done) == 1
    session.undo()
    assert session.design.decided.bass["main"].volume == pytest.approx(0.062, rel=1e-12)


def test_a_quantity_is_written_as_what_stands_there(folder):
    session = Session(read_project(folder))
    assert session.edit_quantity("bass.main.volume", 0.0583)
    assert written(session.design, "bass.main.volume") == "58.3 L"


def test_a_refused_edit_keeps_what_was_typed_and_the_last_good_design(folder):
    session = Session(read_project(folder))
    session.edit("bass.main.volume", "58 L")
    assert not session.edit("bass.main.volume", "58 litre per hour", "58 litre per hour")
    wrong = session.wrong["bass.main.volume"]
    assert wrong.text == "58 litre per hour"
    assert "not a volume" in wrong.sentence
    assert session.design.decided.bass["main"].volume == pytest.approx(0.058, rel=1e-12)
    session.edit("bass.main.volume", "59 L")
    assert not session.wrong


def test_a_save_over_another_tabs_save_is_told_and_writes_nothing(folder):
    one, two = Session(read_project(folder)), Session(read_project(folder))
    one.edit("bass.main.volume", "58 L")
    one.save()
    two.edit("bass.main.volume", "70 L")
    with pytest.raises(Conflict, match=r"design\.toml: it was changed by someone else"):
        two.save()
    assert on_disk(folder, "bass.main.volume") == "58 L"
    assert two.unsaved
    assert written(two.design, "bass.main.volume") == "70 L"


def test_a_record_changed_underneath_is_a_conflict_too(folder):
    session = Session(read_project(folder))
    path = folder / "records" / "moorhoot-12.toml"
    path.write_text(path.read_text() + "# a note\n")
    session.edit("bass.main.volume", "58 L")
    with pytest.raises(Conflict, match="moorhoot-12"):
        session.save()
    assert session.moved() == ("records/moorhoot-12.toml",)
    assert on_disk(folder, "bass.main.volume") == "62 L"


def test_reading_again_keeps_the_edits_over_the_other_ones(folder):
    one, two = Session(read_project(folder)), Session(read_project(folder))
    one.edit("plan.title", "Changed by the first")
    one.save()
    two.edit("bass.main.volume", "70 L")
    two.reload(keep=True)
    assert written(two.design, "plan.title") == "Changed by the first"
    two.save()
    assert on_disk(folder, "bass.main.volume") == "70 L"
    assert on_disk(folder, "plan.title") == "Changed by the first"
    two.undo()
    assert written(two.design, "bass.main.volume") == "62 L"
    assert written(two.design, "plan.title") == "Changed by the first"


def test_reading_again_without_the_edits_keeps_them_as_a_version(folder):
    one, two = Session(read_project(folder)), Session(read_project(folder))
    one.edit("plan.title", "Changed by the first")
    one.save()
    two.edit("bass.main.volume", "70 L")
    name = two.reload()
    assert written(two.design, "bass.main.volume") == "62 L"
    assert not two.unsaved
    assert not two.undo()
    two.restore(name)
    assert written(two.design, "bass.main.volume") == "70 L"


def test_reading_a_broken_file_again_changes_nothing(folder):
    session = Session(read_project(folder))
    session.edit("bass.main.volume", "70 L")
    (folder / "design.toml").write_text("format = ")
    with pytest.raises(DesignErrors, match="not valid TOML"):
        session.reload()
    assert written(session.design, "bass.main.volume") == "70 L"


def test_a_version_comes_back_as_one_edit_and_keeps_comments(folder):
    session = Session(read_project(folder))
    session.edit("bass.main.volume", "70 L")
    session.edit("records.moorhoot-12.datasheet.xmax", "5 mm")
    session.keep_version("wide (1)")
    session.edit("bass.main.volume", "50 L")
    session.commit()
    assert [v.name for v in session.versions] == ["wide (1)"]
    held = tomllib.loads((folder / ".work/versions/wide (1).toml").read_text())
    assert "# at the back row" in held["design"]
    session.restore("wide (1)")
    assert written(session.design, "bass.main.volume") == "70 L"
    assert written(session.design, "records.moorhoot-12.datasheet.xmax") == "5 mm"
    session.undo()
    assert written(session.design, "bass.main.volume") == "50 L"


def test_a_version_is_never_overwritten_and_stays_in_its_folder(folder):
    session = Session(read_project(folder))
    session.keep_version("one")
    with pytest.raises(DesignErrors, match="already"):
        session.keep_version("one")
    for name in ("../one", "", ".one", "a/b", "one\n", "x" * 61, "one "):
        with pytest.raises(DesignErrors, match="no name"):
            session.keep_version(name)
    assert versions.free_name(folder, "one") == "one 2"
    with pytest.raises(DesignErrors, match="cannot be read"):
        session.restore("no such")


RECORD = """format = 1
what = "driver"
type = "cone"
name = "Marsh owl 10"

[datasheet]
re = "5.6 ohm"
"""


def test_a_new_record_is_a_file_at_once_and_outlives_undo(folder):
    session = Session(read_project(folder), "tab")
    session.edit("bass.main.volume", "70 L")
    session.commit()
    session.add_record("marsh-owl-10", RECORD)
    session.edit("records.marsh-owl-10.datasheet.fs", "28 Hz")
    session.commit()
    session.undo()
    session.undo()
    assert "marsh-owl-10" in session.design.records
    session.redo()
    session.redo()
    session.save()
    assert on_disk(folder, "records.marsh-owl-10.datasheet.fs") == "28 Hz"
    assert on_disk(folder, "bass.main.volume") == "70 L"


@pytest.mark.parametrize(("name", "text", "says"), [
    ("moorhoot-12", RECORD, "already"),
    ("../x", RECORD, "no name"),
    ("new", "format = 1\nwhat = ", "not valid TOML"),
    ("new", RECORD.replace("5.6 ohm", "5.6 mm"), "not a resistance"),
    ("new", RECORD.replace("cone", "cane"), "Did you mean 'cone'"),
    ("new", RECORD.replace("format = 1\n", ""), "does not say its format"),
])
def test_a_wrong_record_is_refused_and_writes_nothing(folder, name, text, says):
    session = Session(read_project(folder))
    before = sorted(folder.rglob("*"))
    with pytest.raises(DesignErrors, match=says):
        session.add_record(name, text)
    assert sorted(folder.rglob("*")) == before


def test_unsaved_edits_are_offered_after_a_restart(folder):
    session = Session(read_project(folder), "tab-1")
    session.edit("plan.date", __import__("datetime").date(2026, 5, 4))
    session.edit("bass.main.volume", "70 L")
    session.commit()
    assert recovery.left(folder, {"tab-1"}) == ()
    (left,) = recovery.left(folder)
    fresh = Session(read_project(folder), "tab-2")
    fresh.recover(left.changes)
    assert differences(fresh.design, session.design) == {}
    fresh.save()
    assert recovery.left(folder, {"tab-1"}) == ()
    recovery.forget(folder, "tab-1")
    assert recovery.left(folder) == ()


def test_a_spoiled_recovery_file_is_left_alone(folder):
    (folder / ".work").mkdir()
    (folder / ".work" / "session-x.json").write_text("{")
    (folder / ".work" / "session-y.json").write_text('{"process": 1, "changes": 3}')
    assert recovery.left(folder) == ()


def test_the_outline_changes_with_tables_and_not_with_figures(folder):
    design = read_project(folder).design
    before = outline(design.raw)
    assert outline(design.with_value("bass.main.volume", "70 L").raw) == before
    assert outline(design.with_value("brief.highest", "900 Hz").raw) == before
    assert outline(design.with_value("bass.main.high_pass", None).raw) != before
    by_length = design.with_values({"bass.main.port.tuning": None,
                                    "bass.main.port.length": "200 mm"})
    assert outline(by_length.raw) != before
    closed = design.with_values({"bass.main.loading": "closed", "bass.main.port": None})
    assert outline(closed.raw) != before


def test_every_path_has_a_page():
    assert stage_of("records.x.datasheet.fs") == "drivers"
    assert stage_of("crossover.low_high.frequency") == "drivers"
    assert stage_of("directivity.low") == "cabinet"
    assert stage_of("bass.main.port") == "bass"


# --- the newest wins ------------------------------------------------------------------------------


async def _until(condition, seconds=5.0):
    for _ in range(int(seconds / 0.005)):
        if condition():
            return
        await asyncio.sleep(0.005)
    raise AssertionError("it did not come about")


def test_the_newest_design_is_shown_and_older_ones_never_after_it(folder):
    session = Session(read_project(folder))
    gate, shown, worked = threading.Event(), [], []

    def volume(design):
        return design.decided.bass["main"].volume

    def live(design):
        worked.append(volume(design))
        gate.wait(5)
        return volume(design)

    async def main():
        with ThreadPoolExecutor(1) as one, ThreadPoolExecutor(1) as two:
            latest = Latest(session, live, volume, lambda r, v, w: shown.append((r, v, w)),
                            lambda error: shown.append(error), executors=(one, two), rest=0.02)
            task = asyncio.ensure_future(latest.run())
            await _until(lambda: worked)
            for litres in (50, 51, 52, 53):
                session.edit("bass.main.volume", f"{litres} L")
                latest.poke()
            gate.set()
            await _until(lambda: not latest.behind)
            latest.close()
            await task

    asyncio.run(main())
    assert worked == pytest.approx([0.062, 0.053], rel=1e-12)  # 50 to 52 L were never worked out
    assert [whole for _, _, whole in shown] == [False, False, True]
    assert [revision for revision, _, _ in shown] == [1, 5, 5]
    assert shown[-1][1] == pytest.approx(0.053, rel=1e-12)


def test_a_slow_result_that_an_edit_overtook_is_dropped(folder):
    session = Session(read_project(folder))
    gate, shown, started = threading.Event(), [], []

    def full(design):
        started.append(design)
        if len(started) == 1:
            gate.wait(5)
        return len(started)

    async def main():
        with ThreadPoolExecutor(1) as one, ThreadPoolExecutor(1) as two:
            latest = Latest(session, lambda d: "live", full,
                            lambda r, v, w: shown.append((r, v)), shown.append,
                            executors=(one, two), rest=0.01)
            task = asyncio.ensure_future(latest.run())
            await _until(lambda: started)
            session.edit("bass.main.volume", "50 L")
            latest.poke()
            await _until(lambda: (2, "live") in shown)  # live work goes on meanwhile
            gate.set()
            await _until(lambda: not latest.behind)
            latest.close()
            await task

    asyncio.run(main())
    assert shown == [(1, "live"), (2, "live"), (2, 2)]


def test_a_fault_is_told_and_the_next_edit_is_worked_out(folder):
    session = Session(read_project(folder))
    faults, shown = [], []

    def live(design):
        if design.decided.bass["main"].volume < 0.055:
            raise ZeroDivisionError("planted")
        return "fine"

    async def main():
        with ThreadPoolExecutor(1) as one, ThreadPoolExecutor(1) as two:
            latest = Latest(session, live, live, lambda r, v, w: shown.append((r, v)),
                            faults.append, executors=(one, two), rest=0.01)
            task = asyncio.ensure_future(latest.run())
            await _until(lambda: shown)
            session.edit("bass.main.volume", "50 L")
            latest.poke()
            await _until(lambda: faults)
            session.edit("bass.main.volume", "60 L")
            latest.poke()
            await _until(lambda: (3, "fine") in shown)
            latest.close()
            await task

    asyncio.run(main())
    assert isinstance(faults[0], ZeroDivisionError)
