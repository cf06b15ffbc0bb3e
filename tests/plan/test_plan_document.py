"""The plan's PDF: what stands in it, that nothing is read as markup, and that it never changes."""

from __future__ import annotations

import datetime
import hashlib
import io
import os
import re
import subprocess
import sys
from dataclasses import replace
from importlib import resources

import numpy as np
import pytest
from pypdf import PdfReader

from speakerwright.drawing.charts import Chart, Curve, Region, frequency_axis, level_axis
from speakerwright.plan.cautions import cautions
from speakerwright.plan.document import Cover, one_line, pdf, picture_size, plain
from speakerwright.words.blocks import (
    Caution,
    Chapter,
    Figure,
    Findings,
    Heading,
    Paragraph,
    Points,
    Table,
)
from speakerwright.words.findings import judge, unknown
from speakerwright.words.rules import RULES

NASTY = '#panic() $x$ *b* _i_ `r` \\u{41} <l> @ref // c /* c */ [x] #{1} "q" ~ -- = h + - 1.'
ODD = NASTY + "\n- list \U0001f600 \u6f22 \x00\x07 \ud800 \u202f\u2028\t"
LONG = "x" * 10_000
RULE = next(iter(RULES))

F = np.geomspace(10.0, 1000.0, 100)
CHART = Chart(
    "port", "Air in the port", frequency_axis(10, 1000), level_axis(60, 100),
    (Curve("Port", "port", "simulated", F, 95.0 - 0.01 * F),
     Curve("Sum", "sum", "measured", F, 90.0 + 0 * F)),
    (Region([10.0, 20.0], -np.inf, np.inf, "Too low"),), caption="2.83 V, 1 m, half space",
)
TOO_FAST = judge(RULE, "bass.main.port", 20.0, "speed", at_most=17.0, tight=0.1,
                 says="The air in the port reaches {value}.", try_this="Make the port wider.",
                 source="rule of thumb")
FINDINGS = Findings((
    judge(RULE, "bass.main.port", 12.0, "speed", at_most=17.0, tight=0.1,
          says="The air stays at {value}."),
    judge(RULE, "bass.main.port", 0.245, "length", at_most=0.254, tight=0.1,
          says="The port is {value} long."),
    TOO_FAST,
    replace(TOO_FAST, accepted="outdoors only"),
    unknown(RULE, "crossover.low_high", "The polar response is not known.", "Measure it."),
))
COVER = Cover("Corner twelve", "Two ways", "0.3", "2025-03-01", "CC BY-SA 4.0", "A. Maker",
              (("Lowest frequency", "48 Hz"),), ("Read all cautions first.",))
CHAPTERS = (
    Chapter("brief", "Brief", (
        Heading("Levels"), Paragraph("What it must do."), Points(("One thing", "Another thing")),
        Table(("Part", "Count"), (("Low driver", "2"), ("High driver", "1")), "Parts", (1,)),
    )),
    Chapter("bass", "Bass", (Figure(CHART, "Predicted."), FINDINGS)),
    Chapter("plan", "Cautions", cautions()),
)


def read(made):
    return PdfReader(io.BytesIO(made))


def text_of(made):
    """All words of a PDF with every run of white space as one space."""
    words = " ".join(page.extract_text() for page in read(made).pages)
    return re.sub(r"[\s\u200b]+", " ", words)


@pytest.fixture(scope="module")
def made():
    return pdf(COVER, CHAPTERS)


def test_the_cover_says_what_the_plan_is(made):
    first = re.sub(r"\s+", " ", read(made).pages[0].extract_text())
    for word in ("Corner twelve", "Two ways", "Version 0.3", "2025-03-01", "CC BY-SA 4.0",
                 "A. Maker", "Lowest frequency", "48 Hz", "Read all cautions first.", "Contents"):
        assert word in first


def test_every_chapter_starts_a_page_with_header_and_footer(made):
    pages = [page.extract_text() for page in read(made).pages]
    starts = [next(number for number, page in enumerate(pages)
                   if number and re.search(rf"^{chapter.title}$", page, re.MULTILINE))
              for chapter in CHAPTERS]
    assert starts == sorted(set(starts))
    assert starts[0] == 1
    for number, page in enumerate(pages[1:], 2):
        assert "Corner twelve" in page
        assert "Version 0.3" in page
        assert f"{number} / {len(pages)}" in page
        assert "2025-03-01" in page


def test_the_blocks_are_printed(made):
    text = text_of(made)
    for word in ("Levels", "What it must do.", "Another thing", "High driver", "Parts",
                 "Air in the port", "Too low", "Predicted. 2.83 V, 1 m, half space.",
                 "Dashed: simulated; solid: measured.", "NIOSH"):
        assert word in text


def test_a_finding_has_its_word_reason_figures_and_advice(made):
    text = text_of(made)
    for word in ("Holds", "Tight", "Fails", "Unknown"):
        assert word in text
    assert "The air in the port reaches 20.0 m/s." in text
    assert "Value 20.0 m/s · limit 17.0 m/s · margin" in text
    assert "Make the port wider." in text
    assert "Accepted by the designer: outdoors only" in text
    assert "The port is 245.0 mm long." in text


def test_findings_follow_the_reader_s_units():
    text = text_of(pdf(COVER, CHAPTERS[1:2], system="inch"))
    assert "limit 10 in" in text
    assert "254" not in text


@pytest.mark.parametrize(
    ("paper", "size_pt"), [("a4", (595.28, 841.89)), ("us-letter", (612.0, 792.0))]
)
def test_the_paper_is_the_asked_one(paper, size_pt):
    """ISO 216 A4 is 210 by 297 mm, letter paper 8.5 by 11 in."""
    for page in read(pdf(COVER, CHAPTERS[:1], paper=paper)).pages:
        assert [float(side) for side in page.mediabox[2:]] == pytest.approx(size_pt, abs=0.01)


def test_no_words_are_smaller_than_eight_points(made):
    sizes = []

    def look(text, cm, tm, font, size):
        if text.strip():
            sizes.append(abs(size * tm[3] * cm[3]))

    for page in read(made).pages:
        page.extract_text(visitor_text=look)
    assert len(sizes) > 50
    assert min(sizes) >= 8.0 - 1e-3
    sheet = resources.files("speakerwright.plan").joinpath("sheet.typ").read_text("utf-8")
    assert min(float(size) for size in re.findall(r"text\((?:[^()]*?)([\d.]+)pt", sheet)) >= 8.0


@pytest.mark.parametrize(("paper", "width_mm"), [("a4", 210.0), ("us-letter", 215.9)])
def test_the_text_is_165_mm_wide_in_the_middle_of_every_paper(paper, width_mm):
    left = []

    def look(text, cm, tm, font, size):
        if text.strip():
            left.append((tm[4] * cm[0] + cm[4]) * 25.4 / 72.0)

    read(pdf(COVER, CHAPTERS, paper=paper)).pages[1].extract_text(visitor_text=look)
    assert min(left) == pytest.approx((width_mm - 165.0) / 2.0, abs=0.05)


def test_only_our_typeface_is_used(made):
    faces = {str(font["/BaseFont"]) for page in read(made).pages
             for font in (item.get_object() for item in page["/Resources"]["/Font"].values())}
    assert faces
    assert all("SourceSansPro" in face for face in faces)


def test_the_file_says_title_author_and_the_design_s_own_date(made):
    told = read(made).metadata
    assert (told.title, told.author) == ("Corner twelve", "A. Maker")
    for moment in (told.creation_date, told.modification_date):
        assert moment.date() == datetime.date(2025, 3, 1)


def test_a_date_may_be_a_date_or_any_word():
    for date, printed in ((datetime.date(2024, 2, 29), "2024-02-29"), ("spring", "spring"),
                          ("", "A. Maker")):
        made = pdf(Cover("T", author="A. Maker", date=date), ())
        assert printed in text_of(made)


def test_words_are_never_read_as_markup():
    blocks = (Heading(NASTY), Paragraph(NASTY), Points((NASTY,)), Caution(NASTY, NASTY),
              Table((NASTY, "b"), ((NASTY, NASTY),), NASTY), Figure(CHART, NASTY),
              Findings((unknown(RULE, NASTY, NASTY.replace("{", "{{").replace("}", "}}"), ""),)))
    cover = Cover(NASTY, NASTY, NASTY, NASTY, NASTY, NASTY, ((NASTY, NASTY),), (NASTY,))
    made = pdf(cover, (Chapter("brief", NASTY, blocks), Chapter("brief", "b", ())))

    def squeezed(text):
        return re.sub(r"[\s\u200b]+", "", text)

    text = squeezed(text_of(made))
    assert text.count(squeezed(NASTY)) >= 19
    assert read(made).metadata.title == NASTY


def test_nothing_odd_stops_the_plan():
    cells = tuple("1234.5" for _ in range(30))
    blocks = (
        Heading(""), Heading(ODD), Paragraph(""), Paragraph(LONG), Points(()), Points(("", LONG)),
        Table((), ()), Table(("a",), ()), Table((), (("x", "y"), ("z",))),
        Table(("", ""), (("",), ())), Table(cells, (cells,) * 30, "", (99,)),
        Table((ODD, ODD), ((ODD, LONG), ("word " * 2000, ODD))),
        Table(("head " * 2000, "b"), (("1", "2"),)), Findings(()), Caution("", ""),
        Findings((unknown(RULE, ODD, ODD.replace("{", "{{").replace("}", "}}"), LONG),)),
        Caution(LONG, LONG), Figure(Chart("k", "", frequency_axis(), level_axis(0, 0), ()), ""),
        Figure('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 3000 10"/>', ODD),
        Figure('<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="900mm"/>', ""),
        Paragraph("The very end"),
    )
    cover = Cover(LONG, ODD, LONG, ODD, LONG, ODD, ((LONG, LONG), ("", "")), ("", LONG))
    made = pdf(cover, (Chapter("", LONG, ()), Chapter(ODD, "", blocks)))
    assert "The very end" in "".join(page.extract_text() for page in read(made).pages[-3:])
    assert len(read(pdf(Cover(""), ())).pages) == 1


def test_a_long_word_is_broken_so_that_it_stays_on_the_page():
    assert plain("short words stay") == "short words stay"
    assert plain("a" * 61).replace("\u200b", "") == "a" * 61
    assert max(len(part) for part in plain("a" * 100).split("\u200b")) == 8
    assert plain("a\x00b\tc\nd\ud800") == "ab c\nd?"
    assert one_line("a\nb") == "a b"

    right = []

    def look(text, cm, tm, font, size):
        if text.strip():
            right.append(tm[4] * cm[0] + cm[4])

    made = pdf(COVER, (Chapter("brief", "Brief", (Paragraph("x" * 500),)),))
    read(made).pages[1].extract_text(visitor_text=look)
    assert max(right) < 595.28 - 60.0
    assert len(re.findall("x{60,}", read(made).pages[1].extract_text().replace("\u200b", ""))) > 3


def test_many_chapters_get_a_page_of_contents():
    chapters = tuple(Chapter("brief", f"Chapter {number}", ()) for number in range(30))
    pages = [page.extract_text() for page in read(pdf(COVER, chapters)).pages]
    assert "Contents" not in pages[0]
    assert "Contents" in pages[1]
    assert "Chapter 29" in pages[1].replace("\u2060", "")
    assert "Contents" not in text_of(pdf(COVER, chapters[:1]))


@pytest.mark.parametrize(
    ("size", "wanted_mm"),
    [('width="60mm" height="2in"', (60.0, 50.8)), ('width="72pt" height="96px"', (25.4, 25.4)),
     ('viewBox="0 0 192 96"', (50.8, 25.4)), ('width="9.6e1" height="100%" viewBox="0,0,1,48"',
                                             (25.4, 12.7))],
)
def test_the_size_of_a_picture(size, wanted_mm):
    assert picture_size(f"<svg {size}/>") == pytest.approx(wanted_mm)


@pytest.mark.parametrize(
    "text", ["", "no", "<svg", "<html/>", "<svg/>", '<svg viewBox="0 0 0 0"/>']
)
def test_a_picture_that_is_none_is_refused(text):
    with pytest.raises(ValueError, match="picture"):
        pdf(COVER, (Chapter("brief", "Brief", (Figure(text, ""),)),))


def test_an_unknown_paper_system_or_block_is_refused():
    with pytest.raises(ValueError, match="a4, us-letter"):
        pdf(COVER, (), paper="a5")
    with pytest.raises(ValueError, match="metric or inch"):
        pdf(COVER, (), system="furlongs")
    with pytest.raises(TypeError, match="int"):
        pdf(COVER, (Chapter("brief", "Brief", (3,)),))  # type: ignore[arg-type]


_AGAIN = """
import hashlib, locale, sys, time
sys.path.insert(0, {here!r})
time.time = lambda: 2e9
try:
    locale.setlocale(locale.LC_ALL, "")
except locale.Error:
    pass
import test_plan_document as plan
print(hashlib.sha256(plan.pdf(plan.COVER, plan.CHAPTERS)).hexdigest())
"""


def test_the_bytes_are_the_same_in_another_place_at_another_time(made, tmp_path):
    """The other process starts later by a second or more, which an unfixed date would show."""
    here = os.path.dirname(__file__)  # noqa: PTH120
    strange = {
        "TZ": "Pacific/Kiritimati", "LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8",
        "SOURCE_DATE_EPOCH": "86400", "PYTHONHASHSEED": "7", "TMPDIR": str(tmp_path),
    }
    other = subprocess.run(
        [sys.executable, "-c", _AGAIN.format(here=here)], cwd=tmp_path, text=True, check=True,
        env={**os.environ, **strange}, capture_output=True,
    )
    assert other.stdout.strip() == hashlib.sha256(made).hexdigest()
    assert made == pdf(COVER, list(CHAPTERS))
    assert made != pdf(COVER, CHAPTERS[:2])
