"""A project is saved value by value: one line changes, or nothing is written."""

from __future__ import annotations

import math
import os
import tomllib

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from speakerwright.design.document import Design
from speakerwright.design.file import Project, TextFile, read_project, replace_all, save, write_text
from speakerwright.design.patch import patched
from speakerwright.design.values import Quantity
from speakerwright.words.errors import DesignErrors
from speakerwright.words.units import split

from .folders import HALL, THREE_WAY, contents, copied, leaves

PROJECT = read_project(HALL)
PATHS = [
    *(".".join(path) for path in leaves(dict(PROJECT.design.raw))),
    *(f"records.{name}." + ".".join(path) for name, record in PROJECT.design.raw_records.items()
      for path in leaves(record)),
]
QUANTITIES = [path for path in PATHS if isinstance(PROJECT.design.marker(path), Quantity)]
WRITTEN = [path for path in QUANTITIES if isinstance(PROJECT.design.value(path), str)]


@pytest.fixture
def hall(tmp_path):
    return copied(HALL, tmp_path / "hall")


def decided(design, path):
    """The checked value (SI) at a path."""
    parts = path.split(".")
    node, parts = ((design.records[parts[1]], parts[2:]) if parts[0] == "records"
                   else (design.decided, parts))
    for part in parts:
        if isinstance(node, (dict, tuple)):
            node = node[int(part)] if isinstance(node, tuple) else node[part]
        else:
            node = getattr(node, part)
    return node


def texts(project, design):
    """What saving would write, file by file, and what stands there now."""
    yield project.file.text, patched(
        project.file.text, project.design.raw, design.raw, "design.toml"
    )
    for name, file in project.records.items():
        yield file.text, patched(
            file.text, project.design.raw_records[name], design.raw_records[name], name
        )


def changed_lines(project, design):
    """Pairs of lines that differ; fails when lines were put in or taken out."""
    found = []
    for old, new in texts(project, design):
        before, after = old.splitlines(keepends=True), new.splitlines(keepends=True)
        assert len(before) == len(after)
        found += [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    return found


def test_the_example_has_quantities_of_many_kinds():
    kinds = {PROJECT.design.marker(path).kind for path in QUANTITIES}
    assert len(QUANTITIES) > 120
    assert len(kinds) > 18


@settings(max_examples=250, deadline=None)
@given(path=st.sampled_from(QUANTITIES), factor=st.floats(0.9, 1.1))
def test_a_quantity_edited_in_si_changes_one_line_in_its_own_unit(path, factor):
    before = decided(PROJECT.design, path)
    wanted = float(before) * factor if before else factor
    try:
        design = PROJECT.design.with_quantity(path, wanted)
    except DesignErrors:  # out of range, or at odds with a neighbour
        assume(False)
    assert math.isclose(decided(design, path), wanted, rel_tol=1e-12)
    lines = changed_lines(PROJECT, design)
    if factor == 1.0:
        return
    ((old, new),) = lines
    written, now = PROJECT.design.value(path), design.value(path)
    if isinstance(written, str):
        assert split(now)[1:] == split(written)[1:]  # unit and manner
        assert new == old.replace(f'"{written}"', f'"{now}"', 1) or old.count(f'"{written}"') > 1
    assert old.partition("#")[1:] == new.partition("#")[1:]  # the comment stands


@settings(max_examples=100, deadline=None)
@given(path=st.sampled_from(WRITTEN), digits=st.integers(1, 9), tail=st.booleans())
def test_a_quantity_edited_as_text_changes_one_line(path, digits, tail):
    number, unit, _ = split(PROJECT.design.value(path))
    text = f"{number * (1 + digits / 100) if number else digits:.12g} {unit}"
    try:
        design = PROJECT.design.with_value(path, text)
    except DesignErrors:
        assume(False)
    assert design.value(path) == text
    ((_, new),) = changed_lines(PROJECT, design)
    assert f'"{text}"' in new


@pytest.mark.parametrize("path", PATHS)
def test_every_written_value_can_be_rewritten_as_itself_without_a_change(path):
    design = PROJECT.design.with_value(path, PROJECT.design.value(path))
    assert changed_lines(PROJECT, design) == []
    assert design.key == PROJECT.design.key


def rebuilt(project, change):
    """The project as if its design file were written another way."""
    text = change(project.file.text)
    design = Design.read(tomllib.loads(text), project.design.raw_records)
    return Project(project.folder, TextFile(project.file.path, text, ""), project.records, design)


WAYS = {
    "crlf": lambda text: text.replace("\n", "\r\n"),
    "no final newline": lambda text: text.rstrip("\n"),
    "tabs": lambda text: text.replace(" = ", "\t=\t"),
    "literal": lambda text: text.replace('"', "'").replace("hall's old", "hall old"),
    "quoted names": lambda text: text.replace("[bass.main]", '["bass".\'main\']')
    .replace("volume =", '"volume" ='),
    "inline": lambda text: text.replace(
        '[bass.main.losses]\nleak_q = 7\nport_q = 60\n', ""
    ).replace('volume = "62 L"', 'volume = "62 L" # net\nlosses = { leak_q = 7, port_q = 60 }'),
    "dotted": lambda text: text.replace("[bass.main.losses]\nleak_q = 7\nport_q = 60\n", "")
    .replace("[bass.main]\n", "[bass.main]\nlosses.leak_q = 7\nlosses.port_q = 60\n"),
    "lists over lines": lambda text: text.replace(
        'size = ["18 m", "11 m", "5 m"]', 'size = [\n  "18 m", # long\n  "11 m",\n\t"5 m",\n]'
    ),
    "tables out of order": lambda text: text + '\n[brief.air]\ntemperature = "18 degC"\n',
}


@pytest.mark.parametrize("way", WAYS)
@settings(max_examples=30, deadline=None)
@given(data=st.data())
def test_one_line_changes_whichever_way_the_file_is_written(way, data):
    project = rebuilt(PROJECT, WAYS[way])
    paths = [".".join(path) for path in leaves(dict(project.design.raw))]
    quantities = [path for path in paths if isinstance(project.design.marker(path), Quantity)]
    path = data.draw(st.sampled_from(quantities))
    before = decided(project.design, path)
    try:
        design = project.design.with_quantity(path, 1.03 * before if before else 0.5)
    except DesignErrors:
        assume(False)
    assert len(changed_lines(project, design)) == 1


def test_saving_writes_the_change_and_reads_back_as_the_edited_design(hall):
    project = read_project(hall)
    design = project.design.with_values(
        {"bass.main.volume": "64 L", "records.moorhoot-12.datasheet.fs": "51 Hz",
         "bass.main.high_pass.q": 1.1, "brief.room.noise": None}
    )
    saved = save(project, design)
    again = read_project(hall)
    assert again.design.key == design.key == saved.design.key
    assert again.design.key != project.design.key
    assert again.file == saved.file
    assert dict(again.records) == dict(saved.records)
    assert save(saved, saved.design) is not None  # and what was returned can be saved on
    text = (hall / "design.toml").read_text(encoding="utf-8")
    assert 'volume = "64 L"\n' in text
    assert 'shape = "butterworth"\nq = 1.1\n\n[directivity.low]' in text
    assert "A-weighted, empty hall" not in text  # the comment of the line that was taken out


def test_values_that_depend_on_each_other_change_at_once():
    with pytest.raises(DesignErrors):
        PROJECT.design.with_value("bass.main.port.tuning", None)
    design = PROJECT.design.with_values(
        {"bass.main.port.tuning": None, "bass.main.port.length": "120 mm"}
    )
    assert decided(design, "bass.main.port.length") == pytest.approx(0.12, rel=1e-12)


def test_a_new_chamber_goes_in_as_tables_and_everything_else_stays(hall):
    project = read_project(hall)
    design = project.design.with_value(
        "bass.top", {"loads": ["high"], "loading": "closed", "volume": "2 L",
                     "losses": {"leak_q": 10}},
    )
    save(project, design)
    old = project.file.text
    new = (hall / "design.toml").read_text(encoding="utf-8")
    block = ('\n[bass.top]\nloads = ["high"]\nloading = "closed"\nvolume = "2 L"\n'
             "\n[bass.top.losses]\nleak_q = 10\n")
    assert block in new
    assert new.replace(block, "", 1) == old


def test_a_value_in_the_usual_unit_where_none_stood():
    design = PROJECT.design.with_quantity("bass.main.source_resistance", 0.4)
    assert design.value("bass.main.source_resistance") == "0.4 ohm"
    design = PROJECT.design.with_quantity("bass.main.high_pass.q", 0.8)
    assert design.value("bass.main.high_pass.q") == 0.8


def test_fractions_of_an_inch_stay_fractions_where_they_can():
    design = PROJECT.design.with_value("cabinet.width", "17 3/4 in")
    assert design.with_quantity("cabinet.width", 17.875 * 0.0254).value(
        "cabinet.width") == "17 7/8 in"
    assert design.with_quantity("cabinet.width", 0.45).value("cabinet.width").endswith(" in")


@pytest.mark.parametrize(
    ("path", "says", "hint"),
    [("plan.title", "it takes no quantity", "as it is written"),
     ("bass.main.nothing", "it takes no quantity", ""),
     ("brief", "it takes no quantity", ""),
     ("brief.beat.x.price", "it takes no quantity", ""),
     ("records.nobody.datasheet.fs", "there is no record 'nobody'", "Known"),
     ('bass."main', "its quotes do not fit", "a.\"b.c\".d")],
)
def test_a_quantity_where_none_belongs_is_refused(path, says, hint):
    with pytest.raises(DesignErrors) as caught:
        PROJECT.design.with_quantity(path, 1.0)
    (error,) = caught.value.errors
    assert says in error.says
    assert hint in error.try_this


@pytest.mark.parametrize(
    ("path", "value", "says", "hint"),
    [("bass.mian.volume", "60 L", "there is no 'mian' yet", "Did you mean 'main'?"),
     ("brief.beat.1.price", 3, "there is no entry '1'", "It has 1"),
     ("brief.beat.-1.price", 3, "there is no entry '-1'", "It has 1"),
     ("plan.title.x", 3, "'x' lies inside a plain value", "Shorten"),
     ("plan.title.x.y", 3, "'x' lies inside a plain value", "Shorten"),
     ("", 3, "'' is not a known name", "Known here"),
     ("bass..volume", "6 L", "'' cannot serve as a name", "letters")],
)
def test_a_path_that_leads_nowhere_is_refused(path, value, says, hint):
    with pytest.raises(DesignErrors) as caught:
        PROJECT.design.with_value(path, value)
    assert any(says in e.says and hint in e.try_this for e in caught.value.errors)


def test_taking_out_what_is_not_there_changes_nothing():
    for path in ("bass.main.high_pass.q", "bass.sub.port.bore", "brief.air.humidity"):
        assert PROJECT.design.with_value(path, None).key == PROJECT.design.key


def test_a_reason_is_recorded_under_a_name_with_dots_and_can_be_changed(hall):
    project = read_project(hall)
    design = project.design.accept("seat_spread at brief.seats", "They stand at the back.", 5.3)
    saved = save(project, design)
    text = saved.file.text
    assert '[accepted."seat_spread at brief.seats"]\nreason = "They stand at the back."' in text
    path = 'accepted."seat_spread at brief.seats".reason'
    save(saved, saved.design.with_value(path, "They dance."))
    assert read_project(hall).design.value(path) == "They dance."
    save(read_project(hall), read_project(hall).design.with_value("accepted", None))
    assert (hall / "design.toml").read_text(encoding="utf-8") == project.file.text


# --- a file that changed underneath ---------------------------------------------------------------


def _more(path):
    path.write_bytes(path.read_bytes() + b"# a line more\n")


def _folder(path):
    path.unlink()
    path.mkdir()


UNDERNEATH = {
    "changed": (_more, "changed by someone else"),
    "deleted": (lambda path: path.unlink(), "no such file"),
    "a folder": (_folder, "a folder, not a file"),
}


@pytest.mark.parametrize("name", ["design.toml", "records/moorhoot-12.toml"])
@pytest.mark.parametrize("what", UNDERNEATH)
def test_a_file_changed_underneath_stops_the_whole_save(hall, name, what):
    project = read_project(hall)
    design = project.design.with_values(
        {"bass.main.volume": "64 L", "records.moorhoot-12.datasheet.fs": "51 Hz"}
    )
    change, says = UNDERNEATH[what]
    change(hall / name)
    before = contents(hall)
    with pytest.raises(DesignErrors) as caught:
        save(project, design)
    (error,) = caught.value.errors
    assert error.where == name
    assert says in error.says
    assert "Nothing was written" in error.try_this
    assert contents(hall) == before


def test_reading_forbidden_underneath_stops_the_whole_save(hall, monkeypatch):
    project = read_project(hall)
    design = project.design.with_values(
        {"bass.main.volume": "64 L", "records.moorhoot-12.datasheet.fs": "51 Hz"}
    )
    before = contents(hall)
    real = type(hall).read_bytes

    def forbidden(path):
        if path.name == "moorhoot-12.toml":
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(type(hall), "read_bytes", forbidden)
    with pytest.raises(DesignErrors) as caught:
        save(project, design)
    monkeypatch.undo()
    assert [(e.where, e.says) for e in caught.value.errors] == [
        ("records/moorhoot-12.toml", "reading or writing it is not permitted.")
    ]
    assert contents(hall) == before


def test_writing_forbidden_on_one_file_writes_none(hall, monkeypatch):
    project = read_project(hall)
    design = project.design.with_values(
        {"bass.main.volume": "64 L", "records.moorhoot-12.datasheet.fs": "51 Hz"}
    )
    before = contents(hall)
    real = os.access
    monkeypatch.setattr(
        os, "access", lambda path, mode: real(path, mode) and "moorhoot" not in str(path)
    )
    with pytest.raises(DesignErrors) as caught:
        save(project, design)
    assert [(e.where, e.says) for e in caught.value.errors] == [
        ("records/moorhoot-12.toml", "reading or writing it is not permitted.")
    ]
    assert contents(hall) == before


def test_a_full_disk_writes_none(hall, monkeypatch):
    project = read_project(hall)
    design = project.design.with_values(
        {"bass.main.volume": "64 L", "records.moorhoot-12.datasheet.fs": "51 Hz"}
    )
    before, calls = contents(hall), []

    def full(handle):
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DesignErrors) as caught:
        save(project, design)
    assert "no space left on device" in str(caught.value)
    assert contents(hall) == before


def test_a_link_is_kept_and_the_file_it_leads_to_is_replaced(hall, tmp_path):
    target = tmp_path / "elsewhere.toml"
    (hall / "design.toml").rename(target)
    (hall / "design.toml").symlink_to(target)
    project = read_project(hall)
    save(project, project.design.with_value("bass.main.volume", "64 L"))
    assert (hall / "design.toml").is_symlink()
    assert 'volume = "64 L"' in target.read_text(encoding="utf-8")
    assert not target.is_symlink()


def test_the_permissions_of_a_file_outlive_a_save(hall):
    (hall / "design.toml").chmod(0o640)
    project = read_project(hall)
    save(project, project.design.with_value("bass.main.volume", "64 L"))
    assert (hall / "design.toml").stat().st_mode & 0o777 == 0o640


def test_leftovers_of_dead_saves_are_swept_and_nothing_else(hall):
    gone = hall / ".design.toml.999999999.abcdefgh.part"
    kept = [hall / ".design.toml.swp", hall / f".design.toml.{os.getppid()}.abcdefgh.part",
            hall / "design.toml.999999999.abcdefgh.part",
            hall / ".design_toml.999999999.abcdefgh.part"]
    for path in (gone, *kept):
        path.write_text("x", encoding="utf-8")
    project = read_project(hall)
    save(project, project.design.with_value("bass.main.volume", "64 L"))
    assert not gone.exists()
    assert all(path.exists() for path in kept)


def test_writing_into_a_loop_of_links_or_a_folder_is_refused(tmp_path):
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    (tmp_path / "folder").mkdir()
    for name, says in (("loop", "link"), ("folder", "a folder"), ("a" * 300, "too long"),
                       ("no/such/place", "no such file")):
        with pytest.raises(DesignErrors) as caught:
            write_text(tmp_path / name, "x")
        assert says in caught.value.errors[0].says
    assert not list(tmp_path.glob(".*"))


def test_several_files_are_written_together_or_not_at_all(tmp_path):
    good, bad = tmp_path / "good.txt", tmp_path / "folder"
    good.write_text("old", encoding="utf-8")
    bad.mkdir()
    with pytest.raises(DesignErrors) as caught:
        replace_all([(good, b"new", "good.txt"), (bad, b"new", "bad")])
    assert caught.value.errors[0].where == "bad"
    assert good.read_text(encoding="utf-8") == "old"
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["good.txt"]


@pytest.mark.parametrize("source", [HALL, THREE_WAY], ids=lambda path: path.name)
def test_saving_without_a_change_touches_no_file(source, tmp_path):
    folder = copied(source, tmp_path / "copy")
    project = read_project(folder)
    before = {path: path.stat().st_mtime_ns for path in folder.rglob("*.toml")}
    assert save(project, project.design).file.text == project.file.text
    assert {path: path.stat().st_mtime_ns for path in folder.rglob("*.toml")} == before
