"""Files of every released format stay readable, and what they say stays the same."""

from __future__ import annotations

import json
import shutil
import tomllib
from pathlib import Path
from typing import get_args, get_origin

import pytest

from speakerwright import chain
from speakerwright.design import migrate
from speakerwright.design.document import Decided
from speakerwright.design.file import read_project, save
from speakerwright.design.records import Record
from speakerwright.design.values import Quantity, Section
from speakerwright.words.errors import DesignErrors

HERE = Path(__file__).parent
RELEASED = sorted(path for path in HERE.iterdir() if path.name[0].isdigit())
PRESENT = [path for path in RELEASED if path.name.split("-")[0] == str(migrate.FORMAT)]


def leaves(node, path=()):
    if isinstance(node, (dict, list)):
        items = node.items() if isinstance(node, dict) else enumerate(node)
        for name, inner in items:
            yield from leaves(inner, (*path, str(name)))
    else:
        yield path


def copied(source, target):
    shutil.copytree(source, target)
    return target


def quantities(project):
    """Every quantity of a project in SI, as the program reads it now."""
    design = project.design
    found = {}
    for prefix, raw in (("", design.raw), *((f"records.{name}.", raw)
                                           for name, raw in design.raw_records.items())):
        for path in leaves(dict(raw)):
            full = prefix + ".".join(
                f'"{part}"' if "." in part else part for part in path)
            marker = design.marker(full)
            if isinstance(marker, Quantity):
                found[full] = marker.read(design.value(full))
    return found


def test_there_is_a_frozen_project_of_every_format():
    found = {int(path.name.split("-")[0]) for path in RELEASED}
    assert sorted(found) == list(range(1, migrate.FORMAT + 1))
    assert set(migrate.STEPS) == set(range(1, migrate.FORMAT))
    assert set(migrate.RECORD_STEPS) == set(range(1, migrate.RECORD_FORMAT))


@pytest.mark.parametrize("folder", RELEASED, ids=lambda path: path.name)
def test_an_old_project_is_read_as_it_was_meant(folder):
    project = read_project(folder)
    frozen = json.loads((folder / "quantities.json").read_text(encoding="utf-8"))
    found = quantities(project)
    for path, value in frozen.items():
        assert found[path] == pytest.approx(value, rel=1e-12), path
    assert len(frozen) > 90
    assert chain.work(project.design).all_findings


# names that no one project can hold beside the others that the frozen one holds
INSTEAD = {"brief.seats.points"}  # in place of a range of seats


def known(model, prefix=""):
    """Every name that a section and those in it know; a name of the maker's own is a star."""
    for name, field in model.model_fields.items():
        inner = [part for part in _parts(field.annotation) if isinstance(part, type)]
        sections = [part for part in inner if issubclass(part, Section)]
        star = ".*" if any(part in (dict, tuple) for part in _origins(field.annotation)) else ""
        yield f"{prefix}{name}"
        for section in sections:
            yield from known(section, f"{prefix}{name}{star}.")


def _parts(annotation):
    return [annotation, *(part for inner in get_args(annotation) for part in _parts(inner))]


def _origins(annotation):
    return [get_origin(part) for part in _parts(annotation)]


def written(node, model, prefix=""):
    """Every name that stands in a table, told as `known` tells it."""
    starred = {name for name in known(model) if "*" in name}
    for path in _names(node):
        parts = []
        for part in path:
            joined = ".".join([*parts, "*"])
            parts.append("*" if any(f"{name}.".startswith(f"{joined}.") for name in starred)
                         else part)
            yield prefix + ".".join(parts)


def _names(node, path=()):
    items = node.items() if isinstance(node, dict) else enumerate(node)
    for name, inner in items:
        here = (*path, str(name))
        yield here
        if isinstance(inner, (dict, list)):
            yield from _names(inner, here)


def test_the_frozen_project_of_the_present_format_holds_every_name():
    """So that a name cannot be changed or dropped without a step that brings old files along."""
    designs = [read_project(folder).design for folder in PRESENT]
    found = {name for design in designs for name in written(dict(design.raw), Decided)}
    missing = {name for name in known(Decided)
               if not any(name == i or name.startswith(f"{i}.") for i in INSTEAD)} - found
    assert missing == set()
    # measured figures are the datasheet's, one by one
    records = {name.replace("measured.", "datasheet.")
               for design in designs for raw in design.raw_records.values()
               for name in written(raw, Record)}
    assert {name.replace("measured.", "datasheet.") for name in known(Record)} - records == set()


@pytest.mark.parametrize("folder", RELEASED, ids=lambda path: path.name)
def test_an_old_project_can_be_edited(folder, tmp_path):
    project = read_project(copied(folder, tmp_path / "old"))
    chamber = next(iter(project.design.decided.bass))
    saved = save(project, project.design.with_value(f"bass.{chamber}.volume", "120 L"))
    assert read_project(saved.folder).design.key == saved.design.key


# --- the way of bringing files along, tried with a format that does not exist ---------------------

OLD = HERE / "1"


@pytest.fixture
def newer(monkeypatch):
    """A program two formats on: 'volume' was once 'litres', the plan's 'title' once 'name'."""

    def from_1(data):
        bass = {name: {**{k: v for k, v in chamber.items() if k != "litres"},
                       "volume": f"{chamber['litres']} L"}
                for name, chamber in data["bass"].items()}
        return {**data, "bass": bass}

    def from_2(data):
        plan = {k: v for k, v in data["plan"].items() if k != "name"}
        return {**data, "plan": {**plan, "title": data["plan"]["name"]}}

    monkeypatch.setattr(migrate, "FORMAT", 3)
    monkeypatch.setattr(migrate, "STEPS", {1: from_1, 2: from_2})


@pytest.fixture
def older(tmp_path):
    """The frozen project as that oldest format would have written it."""
    folder = copied(OLD, tmp_path / "older")
    text = (folder / "design.toml").read_text(encoding="utf-8")
    text = text.replace('volume = "124 L"', "litres = 124  # net")
    text = text.replace('volume = "30 L"', "litres = 30")
    text = text.replace('title = "Format one"', 'name = "Format one"')
    (folder / "design.toml").write_text(text, encoding="utf-8")
    return folder


def test_an_older_format_is_brought_forward_step_by_step(newer, older):
    project = read_project(older)
    assert project.design.decided.format == 3
    assert project.design.decided.bass["main"].volume == pytest.approx(0.124)
    assert project.design.decided.plan.title == "Format one"


def test_a_middle_format_takes_only_the_later_steps(newer, older):
    path = older / "design.toml"
    text = path.read_text(encoding="utf-8").replace("\nformat = 1", "\nformat = 2")
    text = text.replace("litres = 124  # net", 'volume = "124 L"')
    path.write_text(text.replace("litres = 30", 'volume = "30 L"'), encoding="utf-8")
    assert read_project(older).design.decided.format == 3


def test_reading_an_older_file_leaves_it_alone(newer, older):
    before = (older / "design.toml").read_bytes()
    project = read_project(older)
    save(project, project.design)
    assert (older / "design.toml").read_bytes() == before


def test_the_first_change_writes_the_present_format_and_keeps_the_rest(newer, older):
    project = read_project(older)
    save(project, project.design.with_value("cabinet.width", "460 mm"))
    old = project.file.text.splitlines()
    new = (older / "design.toml").read_text(encoding="utf-8").splitlines()
    assert [line for line in old if line not in new] == [
        "format = 1", "litres = 124  # net", "litres = 30", 'width = "450 mm"',
        'name = "Format one"']
    assert [line for line in new if line not in old] == [
        "format = 3", 'volume = "124 L"', 'volume = "30 L"', 'width = "460 mm"',
        'title = "Format one"']
    assert tomllib.loads("\n".join(new))["format"] == 3
    assert read_project(older).design.decided.cabinet.width == pytest.approx(0.46)


def test_an_older_record_is_brought_forward_too(monkeypatch, tmp_path):
    folder = copied(OLD, tmp_path / "old")
    path = folder / "records" / "woofer.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("re = ", "r = ", 1), encoding="utf-8")

    def renamed(data):
        sheet = dict(data.get("datasheet", {}))
        if "r" in sheet:
            sheet["re"] = sheet.pop("r")
        return {**data, "datasheet": sheet}

    monkeypatch.setattr(migrate, "RECORD_FORMAT", 2)
    monkeypatch.setattr(migrate, "RECORD_STEPS", {1: renamed})
    project = read_project(folder)
    assert project.design.records["woofer"].datasheet.re == pytest.approx(5.3)
    save(project, project.design.with_value("records.woofer.datasheet.fs", "51 Hz"))
    text = path.read_text(encoding="utf-8")
    assert text.startswith("format = 2\n")
    assert 're = "5.3 ohm"' in text
    assert "format = 1" in (folder / "records" / "horn.toml").read_text(encoding="utf-8")


def test_an_older_file_that_lacks_a_part_is_told_so(newer, older):
    path = older / "design.toml"
    text = path.read_text(encoding="utf-8").replace("litres = 124", "liters = 124")
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DesignErrors) as caught:
        read_project(older)
    (error,) = caught.value.errors
    assert (error.where, error.says) == (
        "format", "it is not a file of format 1 in all its parts.")


@pytest.mark.parametrize(
    ("written", "says"),
    [(4, "newer than this program reads (3)"), (0, "no format 0"), (-1, "no format -1"),
     (True, "does not say its format"), ("3", "does not say its format"),
     (3.0, "does not say its format"), (None, "does not say its format")],
)
def test_no_other_format_is_read(newer, written, says):
    with pytest.raises(DesignErrors) as caught:
        migrate.migrated({} if written is None else {"format": written})
    (error,) = caught.value.errors
    assert error.where == "format"
    assert says in error.says
    assert error.try_this
