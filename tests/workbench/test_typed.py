"""What a hand types is brought to how a design file writes it, where no doubt is left."""

from __future__ import annotations

import asyncio

import pytest

from speakerwright.words.units import KINDS, parse
from speakerwright.workbench import help as help_pages
from speakerwright.workbench import start
from speakerwright.workbench.typed import as_written

from .pages import user_at


@pytest.mark.parametrize(("typed", "kind", "written", "si"), [
    ("60hz", "frequency", "60 Hz", 60.0), ("137cm2", "area", "137 cm^2", 0.0137),
    ("137 sq cm", "area", "137 cm^2", 0.0137), ("5.8 Ohm", "resistance", "5.8 ohm", 5.8),
    ("79db", "level", "79 dB", 79.0), ("7.2 Tm", "force factor", "7.2 T m", 7.2),
    ('"14 L"', "volume", "14 L", 0.014), ("1.2 Ns/m", "mechanical resistance", "1.2 N s/m", 1.2),
    ("11 7/8 IN", "length", "11 7/8 in", 0.301625), ("20 C", "temperature", "20 degC", 20.0),
    ("137 cm²", "area", "137 cm²", 0.0137), ("3 metres", "distance", "3 metres", 3.0),
])
def test_units_in_other_letters_become_the_usual_ones(typed, kind, written, si):
    assert as_written(typed, kind) == written
    assert parse(as_written(typed, kind), kind) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(("typed", "kind"), [
    ("40 kg", "frequency"), ("79 dBA", "level"), ("3 mhz", "frequency"), ("5,5 mm", "length"),
    ("sixty", "volume"), ("60", "volume"), ("", "volume"), ("5 mw", "power"),
])
def test_what_is_in_doubt_stays_as_it_was_typed(typed, kind):
    assert as_written(typed, kind) == typed


def test_a_plain_number_takes_the_unit_given():
    assert as_written(" 60 ", "volume", "L") == "60 L"
    assert as_written("11 7/8", "length", "in") == "11 7/8 in"
    assert as_written("2 ft^3", "volume", "L") == "2 ft^3"


@pytest.mark.parametrize("kind", list(KINDS))
def test_every_example_is_left_as_it_is(kind):
    assert as_written(KINDS[kind].example, kind) == KINDS[kind].example


def test_help_shows_a_page_of_the_docs_without_links_pictures_or_foreign_html(monkeypatch):
    help_pages.rendered.cache_clear()
    monkeypatch.setattr(help_pages, "page_of", lambda name: (
        "# Title\n\n## Part\n\nSee [there](other.md) <script>x</script> ![p](p.png)\n\n"
        "| a | b |\n|---|---|\n| 1 | 2 |\n") if name == "one" else None)
    html = help_pages.rendered("one")
    help_pages.rendered.cache_clear()
    assert html.startswith("<h3>Part</h3>")
    assert "See there &lt;script&gt;" in html
    assert '<div class="sw-scroll" tabindex="0"><table>' in html
    assert not any(word in html for word in ("<a", "<img", "<script", "Title"))
    assert help_pages.rendered("none") == ""
    help_pages.rendered.cache_clear()


def test_a_fault_behind_a_button_is_told(tmp_path, monkeypatch, caplog):
    def broken(*_):
        raise RuntimeError("planted")

    monkeypatch.setattr(start, "make", broken)

    async def scenario():
        async with user_at(tmp_path, "/") as user:
            user.find("Make the design").click()
            await user.should_see("met a fault of its own (RuntimeError)")
            caplog.clear()  # it is logged too

    asyncio.run(scenario())
