"""Results kept in a project's work folder, which may have come from a stranger."""

from __future__ import annotations

import io
import json
import os
import pickle
import time
import zipfile

import numpy as np
import pytest

from speakerwright.chain import store as store_module
from speakerwright.chain.store import Outcome, Store

KEY, OTHER = "0123456789abcdef" * 2, "f" * 32


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path)


def outcome():
    return Outcome(
        {"peak": 1.25, "names": ["low", "größer"], "none": None},
        {"curve": np.array([[1.0, -2.5], [np.inf, np.nan]]), "empty": np.zeros((0, 3)),
         "phasor": np.array([1j, 2.0]), "turned": np.asfortranarray(np.arange(6).reshape(2, 3))},
        {"plan.pdf": b"%PDF\x00\xff", "nothing": b""},
    )


def test_what_is_kept_is_read_back_whole_and_read_only(store):
    assert store.read("plan", KEY) is None
    assert store.write("plan", KEY, outcome())
    found, asked = store.read("plan", KEY), outcome()
    assert found.data == asked.data
    assert found.files == asked.files
    for name, array in asked.arrays.items():
        np.testing.assert_array_equal(found.arrays[name], array)
        assert found.arrays[name].dtype == array.dtype
        with pytest.raises(ValueError, match="read-only"):
            found.arrays[name][...] = 0
    assert store.read("plan", OTHER) is None
    assert store.read("search", KEY) is None


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9, 0.99])
def test_a_torn_file_is_no_result(store, share):
    store.write("plan", KEY, outcome())
    (path,) = (store.folder / ".work" / "results").iterdir()
    data = path.read_bytes()
    path.write_bytes(data[: int(share * len(data))])
    assert store.read("plan", KEY) is None
    assert store.write("plan", KEY, outcome())
    assert store.read("plan", KEY) is not None


def test_a_file_with_a_changed_byte_gives_no_other_result(store):
    store.write("plan", KEY, outcome())
    (path,) = (store.folder / ".work" / "results").iterdir()
    data, passed = path.read_bytes(), 0
    for at in range(0, len(data), 7):
        path.write_bytes(data[:at] + bytes([data[at] ^ 0x55]) + data[at + 1:])
        found = store.read("plan", KEY)
        if found is not None:  # a byte of no meaning, such as a date
            passed += 1
            assert found.data == outcome().data
            assert set(found.files) <= set(outcome().files)
    assert passed < len(data) / 14


def packed(about, **members):
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("about.json", json.dumps(about))
        for name, data in members.items():
            file.writestr(name.replace("__", "/"), data)
    return held.getvalue()


def head(shape, descr="<f8"):
    held = io.BytesIO()
    np.lib.format.write_array_header_1_0(
        held, {"shape": shape, "fortran_order": False, "descr": descr})
    return held.getvalue()


class Runs:
    def __reduce__(self):
        return (os.mkdir, ("ran",))


def pickled_array():
    held = io.BytesIO()
    np.save(held, np.array([Runs()], dtype=object), allow_pickle=True)
    return held.getvalue()


GOOD = {"format": 1, "name": "plan", "key": KEY, "data": {}}


@pytest.mark.parametrize("data", [
    b"not a zip", pickle.dumps({"a": 1}),
    packed({**GOOD, "format": 2}), packed({**GOOD, "key": OTHER}), packed({**GOOD, "name": "x"}),
    packed({**GOOD, "data": [1]}), packed([]), packed({}),
    packed(GOOD, arrays__a=b"", **{"arrays__b.npy": pickled_array()}),
    packed(GOOD, **{"arrays__a.npy": head((10**12,))}),
    packed(GOOD, **{"arrays__a.npy": head((2,)) + bytes(8)}),
    packed(GOOD, **{"arrays__a.npy": head((-1,)) + bytes(8)}),
    packed(GOOD, **{"arrays__a.npy": head((1,), "|O") + bytes(8)}),
    packed(GOOD, **{"files__../../design.toml": b"mine"}),
])
def test_a_foreign_file_is_passed_over_and_nothing_in_it_runs(store, data, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    store.write("plan", KEY, outcome())
    (path,) = (store.folder / ".work" / "results").iterdir()
    path.write_bytes(packed(GOOD))
    assert store.read("plan", KEY).data == {}  # the packing itself is taken
    path.write_bytes(data)
    assert store.read("plan", KEY) is None
    assert not (tmp_path / "ran").exists()


def test_what_would_unpack_to_too_much_is_not_unpacked(store, monkeypatch):
    store.write("plan", KEY, Outcome(files={"zeros": bytes(5_000_000)}))
    (path,) = (store.folder / ".work" / "results").iterdir()
    assert path.stat().st_size < 50_000
    assert store.read("plan", KEY) is not None
    monkeypatch.setattr(store_module, "LARGEST", 1_000_000)
    assert store.read("plan", KEY) is None


def test_links_out_of_the_project_are_not_followed(tmp_path):
    inside, outside = tmp_path / "project", tmp_path / "outside"
    (outside / "results").mkdir(parents=True)
    inside.mkdir()
    (inside / ".work").symlink_to(outside)
    assert not Store(inside).write("plan", KEY, outcome())
    assert list((outside / "results").iterdir()) == []
    assert Store(outside.parent).write("plan", KEY, outcome())
    (inside / ".work").unlink()
    (inside / ".work" / "results").mkdir(parents=True)
    real = tmp_path / ".work" / "results" / f"plan-{KEY}.npz"
    (inside / ".work" / "results" / real.name).symlink_to(real)
    assert Store(inside).read("plan", KEY) is None


def test_the_number_and_the_bytes_kept_are_bounded_and_what_was_read_stays(tmp_path):
    store = Store(tmp_path, most=3)
    keys = [f"{k:032x}" for k in range(4)]
    for key in keys[:3]:
        store.write("plan", key, Outcome())
        time.sleep(0.01)
    store.read("plan", keys[0])
    (tmp_path / ".work" / "results" / "mine.txt").write_text("stays")
    store.write("plan", keys[3], Outcome())
    assert [store.read("plan", key) is not None for key in keys] == [True, False, True, True]
    noise = np.random.default_rng(1).bytes(10_000)
    tight = Store(tmp_path, most_bytes=10_600)
    assert tight.write("plan", keys[1], Outcome(files={"a": noise}))
    sizes = [path.stat().st_size for path in tmp_path.glob(".work/results/*.npz")]
    assert max(sizes) > 10_000
    assert sum(sizes) <= 10_600
    assert len(sizes) < 4
    more = np.random.default_rng(2).bytes(12_000)
    assert not tight.write("plan", keys[2], Outcome(files={"a": more}))
    assert (tmp_path / ".work" / "results" / "mine.txt").read_text() == "stays"


def test_a_folder_that_takes_nothing_keeps_nothing(tmp_path):
    (tmp_path / ".work").write_text("a file")
    assert not Store(tmp_path).write("plan", KEY, outcome())
    assert Store(tmp_path).read("plan", KEY) is None


@pytest.mark.parametrize(("name", "key"), [("../plan", KEY), ("plan", "../x"), ("", KEY)])
def test_a_name_that_is_none(store, name, key):
    with pytest.raises(ValueError, match="no result can be kept"):
        store.read(name, key)


def test_only_plain_data_is_kept(store):
    with pytest.raises(ValueError, match="no array of numbers"):
        store.write("plan", KEY, Outcome(arrays={"a": np.array([Runs()], dtype=object)}))
    with pytest.raises(ValueError, match="no name for a part"):
        store.write("plan", KEY, Outcome(files={"../a": b""}))
    with pytest.raises(TypeError):
        store.write("plan", KEY, Outcome({"a": Runs()}))
