"""What is asked for and worked out in another process, or in this one."""

from __future__ import annotations

import os
import time
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from speakerwright import chain
from speakerwright.chain.requests import Cancelled, Failed, Request, recall, run, start
from speakerwright.chain.store import Store
from speakerwright.design.file import read_project
from speakerwright.design.starter import start as begin
from speakerwright.words.errors import DesignErrors

from . import slow_work

PATIENT = 60.0


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path)


def squares(count=5, version=1):
    return Request("squares", version, slow_work.squares, (count,))


def alive(process):
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def until(condition, seconds=PATIENT):
    for _ in range(int(seconds / 0.01)):
        if condition():
            return
        time.sleep(0.01)
    raise AssertionError("it did not come about")


def test_it_runs_elsewhere_once_and_is_read_back_after(store):
    first = start(squares(), store)
    made = first.result(PATIENT)
    assert made.data["process"] != os.getpid()
    np.testing.assert_array_equal(made.arrays["squares"], [0.0, 1.0, 4.0, 9.0, 16.0])
    assert made.files == {"note.txt": b"squared"}
    assert first.progress().fraction == 1.0
    again = start(squares(), store)
    assert again.done
    assert again.result(0.0).data == made.data
    assert run(squares(), store).data == made.data
    assert recall(squares(6), store) is None


def test_inline_tells_the_same_and_keeps_the_same(store):
    told = []
    made = run(squares(4), store, lambda share, says: told.append((share, says)))
    assert told == [(k / 4, f"Squaring {k}.") for k in range(4)]
    assert made.data["process"] == os.getpid()
    assert recall(squares(4), store).data == made.data
    assert run(squares(4)).data == made.data  # without a store, made anew


def test_the_key_stands_for_function_version_and_arguments(tmp_path):
    begin(tmp_path / "first")
    design = read_project(tmp_path / "first").design
    keys = {squares(5).key, squares(6).key, squares(5, version=2).key,
            Request("squares", 1, slow_work.lasting, (5,)).key,
            Request("other", 1, slow_work.squares, (5,)).key,
            chain.plan_request(design).key,
            chain.plan_request(design.with_value("plan.title", "Other")).key}
    assert len(keys) == 7
    assert squares(5).key == squares(5).key
    assert chain.plan_request(design).key == chain.plan_request(
        read_project(tmp_path / "first").design).key
    with pytest.raises(TypeError):
        Request("squares", 1, slow_work.squares, (object(),)).key  # noqa: B018


def test_a_stopped_one_ends_soon_clears_up_and_keeps_nothing(store, tmp_path):
    mark = tmp_path / "mark"
    request = Request("lasting", 1, slow_work.lasting, (str(mark), 60.0))
    running = start(request, store)
    until(lambda: running.progress().says == "Lasting.")
    began = time.monotonic()
    running.cancel()
    running.cancel()
    with pytest.raises(Cancelled):
        running.result(PATIENT)
    assert time.monotonic() - began < 2.0
    assert not alive(int(mark.read_text()))
    assert mark.with_suffix(".cleared").exists()
    assert recall(request, store) is None
    running.cancel()  # nothing happens any more


def test_one_that_will_not_be_told_is_killed(tmp_path):
    mark = tmp_path / "mark"
    running = start(Request("deaf", 1, slow_work.deaf, (str(mark),)))
    until(lambda: running.progress().says == "Deaf.")
    began = time.monotonic()
    running.cancel()
    with pytest.raises(Cancelled):
        running.result(PATIENT)
    assert time.monotonic() - began < 5.0
    assert not alive(int(mark.read_text()))


def test_waiting_has_an_end(tmp_path):
    running = start(Request("lasting", 1, slow_work.lasting, (str(tmp_path / "mark"), 60.0)))
    with pytest.raises(TimeoutError):
        running.result(0.05)
    assert not running.done
    running.cancel()
    with pytest.raises(Cancelled):
        running.result(PATIENT)


def test_errors_come_back_as_a_sentence():
    with pytest.raises(Failed) as refused:
        start(Request("refused", 1, slow_work.refused)).result(PATIENT)
    assert str(refused.value) == "bass.main.volume: it is too small for this. Ask for more."
    with pytest.raises(Failed) as fault:
        start(Request("faulty", 1, slow_work.faulty)).result(PATIENT)
    assert "fault of its own (ZeroDivisionError)" in str(fault.value)
    assert "\n" not in str(fault.value)
    assert "1 / 0" in fault.value.trace
    with pytest.raises(Failed, match=r"ended without a result \(status 7\)"):
        start(Request("gone", 1, slow_work.gone)).result(PATIENT)
    with pytest.raises(DesignErrors):
        run(Request("refused", 1, slow_work.refused))


def test_what_cannot_be_sent_is_told():
    inner = Request("inner", 1, partial(lambda tell: None))
    object.__setattr__(inner, "key", "0" * 32)
    with pytest.raises(Failed, match="No other process can be given this"):
        start(inner).result(PATIENT)


def test_progress_neither_floods_nor_goes_back():
    running = start(Request("flooding", 1, slow_work.flooding, (200_000,)))
    seen = []
    while not running.done:
        seen.append(running.progress().fraction)
        time.sleep(0.005)
    assert running.result(0.0).data == {}
    assert seen == sorted(seen)
    assert all(0.0 <= share <= 1.0 for share in seen)


def test_a_design_reaches_the_other_process_and_its_plan_comes_back(tmp_path):
    begin(tmp_path / "first")
    design = read_project(tmp_path / "first").design
    store, says = Store(tmp_path / "first"), []
    running = start(chain.plan_request(design), store)
    while not running.done:
        if running.progress().says not in says:
            says.append(running.progress().says)
        time.sleep(0.01)
    made = running.result(0.0)
    assert made.files["plan.pdf"] == chain.plan_pdf(chain.work(design))
    assert made.data["pages"] == len(made.files) - 1
    for k in range(1, made.data["pages"] + 1):
        assert made.files[f"page-{k}.png"].startswith(b"\x89PNG\r\n")
    assert len(says) > 2
    assert Path(store.folder, ".work", "results").is_dir()
