"""Wrong designs and records through the command line: plain sentences, and nothing touched."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from speakerwright import cli
from speakerwright.design.file import read_project
from speakerwright.words.errors import DesignErrors

from .folders import HALL, contents, copied

LIBRARY_WORDS = re.compile(
    r"pydantic|traceback|validation error|type=|input_value|input_type|should be a|For further|"
    r"Error\b|\.py\b|<class|NoneType|\bdict\b|\btuple\b|\bNone\b",
)


@pytest.fixture
def hall(tmp_path):
    return copied(HALL, tmp_path / "hall")


def run(monkeypatch, capfd, *arguments):
    """Status, what was printed, and the lines on the error stream of one command."""
    monkeypatch.setattr(sys, "argv", ["speakerwright", *map(str, arguments)])
    with pytest.raises(SystemExit) as left:
        cli.main()
    out, err = capfd.readouterr()
    return left.value.code, out, err.splitlines()


def sub(old, new, file="design.toml"):
    """A change of one piece of text in a file, which must be there once."""

    def change(folder):
        path = folder / file
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, (old, text.count(old))
        path.write_text(text.replace(old, new), encoding="utf-8")

    return change


def add(text, file="design.toml"):
    def change(folder):
        path = folder / file
        path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")

    return change


def both(*changes):
    def change(folder):
        for each in changes:
            each(folder)

    return change


def put(data, file="design.toml"):
    def change(folder):
        (folder / file).write_bytes(data if isinstance(data, bytes) else data.encode())

    return change


def encoded(encoding):
    def change(folder):
        path = folder / "design.toml"
        text = path.read_text(encoding="utf-8").replace("village", "Dörfchen")
        path.write_bytes(text.encode(encoding))

    return change


def folder_instead(file):
    def change(folder):
        (folder / file).unlink()
        (folder / file).mkdir()

    return change


def loop(file):
    def change(folder):
        (folder / file).unlink()
        (folder / file).symlink_to(file.rpartition("/")[2])

    return change


def renamed(old, new):
    def change(folder):
        (folder / "records" / old).rename(folder / "records" / new)

    return change


def nothing(file):
    return lambda folder: (folder / file).unlink()


LOW = "records/moorhoot-12.toml"
HIGH = "records/saltpiper-25.toml"
HORN = "records/saltpiper-bell-90x60.toml"
WOOFER = "records.moorhoot-12"
PORT = '[bass.main.port]\nshape = "round"\ncount = 2\nbore = "100 mm"\nwall = "3 mm"\n'
TUNED = 'tuning = "50 Hz"\n'
SHEET = ('[[cutting.sheets]]\nname = "birch plywood 18 mm, 2440 x 1220"\n'
         'size = ["2440 mm", "1220 mm"]\nprice = 84\nmaterial = "birch plywood"\n')

# what is changed, where the error must stand, and words of its sentence or its advice
WRONG = {
    # names
    "unknown name": (sub("lowest_drop =", "lowest_dorp ="), "brief.lowest_dorp",
                     "not a known name", "Did you mean 'lowest_drop'?"),
    "unknown section": (add("\n[crosover.low_high]\nfrequency = '1 kHz'\n"), "crosover",
                        "not a known name", "Did you mean 'crossover'?"),
    "unknown name far from all": (add("\n[zzz]\n"), "zzz", "not a known name", "Known here:"),
    "unknown name in a record": (sub("\nfs =", "\nffs =", LOW), f"{WOOFER}.datasheet.ffs",
                                 "not a known name", "Did you mean 'fs'?"),
    "unknown name in a list's table": (sub("level = \"108 dB\"", "lever = \"108 dB\""),
                                       "brief.beat.0.lever", "not a known name", "'level'"),
    "very long name": (add(f"\n[{'x' * 5000}]\n"), f'"{"x" * 60}"', "not a known name", "Known"),
    "name with control characters": (add('\n["a\\u001b[31mb"]\n'), r'"a\u001b[31mb"',
                                     "not a known name", "Known"),
    # quantities
    "wrong unit": (sub('"62 L"', '"62 kg"'), "bass.main.volume", "'kg' does not measure", "92 L"),
    "unknown unit": (sub('"62 L"', '"62 litters"'), "bass.main.volume", "not a known unit", "92 L"),
    "no unit": (sub('"62 L"', '"62"'), "bass.main.volume", "no unit", "92 L"),
    "bare number": (sub('"62 L"', "62"), "bass.main.volume", "no unit", "92 L"),
    "decimal comma": (sub('"62 L"', '"62,5 L"'), "bass.main.volume", "decimal point", "92 L"),
    "negative volume": (sub('"62 L"', '"-62 L"'), "bass.main.volume", "out of range", "above"),
    "zero": (sub('"62 L"', '"0 L"'), "bass.main.volume", "out of range", "above"),
    "far too large": (sub('"62 L"', '"6e9 L"'), "bass.main.volume", "out of range", "at most"),
    "overflowing text": (sub('"62 L"', '"6e999 L"'), "bass.main.volume", "not a finite", "92 L"),
    "very long quantity": (sub('"62 L"', f'"{"6" * 500} L"'), "bass.main.volume", "too long", ""),
    "unit that calculates": (sub('"62 L"', '"62 m^9^9^9"'), "bass.main.volume", "not a known unit",
                             ""),
    "empty quantity": (sub('"62 L"', '""'), "bass.main.volume", "not a number", "92 L"),
    "boolean for a quantity": (sub('"62 L"', "true"), "bass.main.volume", "true is not a volume",
                               "92 L"),
    "list for a quantity": (sub('"62 L"', '["62 L"]'), "bass.main.volume", "not a volume", "92 L"),
    "table for a quantity": (sub('"62 L"', "{ l = 62 }"), "bass.main.volume", "not a volume",
                             "92 L"),
    "date for a quantity": (sub('"62 L"', "2026-01-01"), "bass.main.volume", "not a volume", "L"),
    "fraction by zero": (sub('"450 mm"', '"17 1/0 in"'), "cabinet.width", "divides by zero", ""),
    "bore too small to work out": (sub('"100 mm"', '"0.1 mm"'), "bass.main.port.bore",
                                   "out of range", "from 1.0"),
    # plain numbers
    "nan": (sub("leak_q = 7", "leak_q = nan"), "bass.main.losses.leak_q", "not a finite", ""),
    "infinite": (sub("leak_q = 7", "leak_q = inf"), "bass.main.losses.leak_q", "not a finite", ""),
    "number beyond every float": (sub("leak_q = 7", f"leak_q = 1{'0' * 400}"),
                                  "bass.main.losses.leak_q", "too large", ""),
    "hexadecimal of many digits": (sub("leak_q = 7", f"leak_q = 0x{'f' * 9000}"),
                                   "bass.main.losses.leak_q", "too large", ""),
    "number of too many digits": (sub("leak_q = 7", f"leak_q = {'7' * 5000}"), "design.toml",
                                  "out of range", ""),
    "text for a number": (sub("leak_q = 7", 'leak_q = "7"'), "bass.main.losses.leak_q",
                          "plain number", ""),
    "boolean for a number": (sub("leak_q = 7", "leak_q = true"), "bass.main.losses.leak_q",
                             "not a ratio", ""),
    "boolean for a count": (sub("count = 2", "count = true"), "bass.main.port.count",
                            "not a whole number", "2"),
    "fraction for a count": (sub("count = 2", "count = 2.5"), "bass.main.port.count",
                             "not a whole number", ""),
    "huge count": (sub("count = 2", f"count = 0x{'f' * 9000}"), "bass.main.port.count",
                   "out of range", "64"),
    "negative count": (sub("count = 2", "count = -2"), "bass.main.port.count", "out of range", ""),
    "word for true or false": (sub("occupied = true", 'occupied = "yes"'), "brief.room.occupied",
                               "neither true nor false", ""),
    "number for true or false": (sub("occupied = true", "occupied = 1"), "brief.room.occupied",
                                 "neither true nor false", ""),
    "reason without a finite value": (add('\n[accepted.x]\nreason = "r"\nvalue = inf\n'),
                                      "accepted.x.value", "finite", ""),
    "reason with text for a value": (add('\n[accepted.x]\nreason = "r"\nvalue = "5"\n'),
                                     "accepted.x.value", "not a number", ""),
    # text
    "number for text": (sub('"Harbour hall main"', "5"), "plan.title", "not text", "quotes"),
    "empty text": (sub('"Harbour hall main"', '""'), "plan.title", "empty", ""),
    "spaces only": (sub('"Harbour hall main"', '"  "'), "plan.title", "empty", ""),
    "very long text": (sub('"Harbour hall main"', f'"{"x" * 90000}"'), "plan.title",
                       "90000 characters", "120"),
    "control characters": (sub('"Harbour hall main"', r'"bell \u0007"'), "plan.title",
                           "control characters", ""),
    "turned writing": (sub('"Harbour hall main"', r'"a\u202eb"'), "plan.title",
                       "control characters", ""),
    "title over two lines": (sub('"Harbour hall main"', r'"a\nb"'), "plan.title",
                             "several lines", ""),
    "word not among the known": (sub('"vented"', '"ventde"'), "bass.main.loading", "words known",
                                 "'vented'"),
    "number for a word": (sub('"vented"', "3"), "bass.main.loading", "words known", "closed"),
    "wrong date": (sub("date = 2026-03-01", 'date = "1 March"'), "plan.date", "not a date", ""),
    "number for a date": (sub("date = 2026-03-01", "date = 20260301"), "plan.date", "not a date",
                          "2026-03-01"),
    "time for a date": (sub("date = 2026-03-01", "date = 07:32:00"), "plan.date", "not a date", ""),
    "date no calendar has": (sub("date = 2026-03-01", "date = 2026-02-31"), "design.toml",
                             "TOML", ""),
    # lists and tables
    "mistyped table": (sub("[brief.room]", "[brief.rooom]"), "brief.rooom", "not a known name",
                       "Did you mean 'room'?"),
    "missing table": (sub('[brief.place]\nkind = "recess"\n', ""), "brief.place", "missing",
                      "Add place"),
    "number for a table": (add('\n[drivers]\nmid = 3\n'), "drivers.mid", "not a table",
                           "[drivers.mid]"),
    "list for a table": (sub('[plan]\n', '[[plan]]\n'), "plan", "not a table", "[plan]"),
    "table for a list": (sub('loads = ["low"]', "loads = { a = 'low' }"), "bass.main.loads",
                         "not a list", "square brackets"),
    "text for a list": (sub('loads = ["low"]', 'loads = "low"'), "bass.main.loads", "not a list",
                        ""),
    "list too short": (sub('["18 m", "11 m", "5 m"]', '["18 m", "11 m"]'), "brief.room.size",
                       "too few", ""),
    "list too long": (sub('["18 m", "11 m", "5 m"]', '["18 m", "11 m", "5 m", "1 m"]'),
                      "brief.room.size", "too many", ""),
    "empty list": (sub('loads = ["low"]', "loads = []"), "bass.main.loads", "loads no driver", ""),
    "wrong entry of a list": (sub('"11 m", "5 m"', '"11 m", "5 kg"'), "brief.room.size.2",
                              "does not measure", "11 m"),
    "missing value": (sub('lowest = "50 Hz"\n', ""), "brief.lowest", "missing", "Add lowest"),
    # the file as text
    "empty file": (put(b""), "format", "does not say its format", "format = 1"),
    "only spaces": (put(b" \n\n"), "format", "does not say its format", ""),
    "huge file": (put(b"# x\n" * 300_000), "design.toml", "larger than 1 MB", ""),
    "truncated": (sub('[plan]\ntitle = "Harbour hall main"', '[plan]\ntitle = "Harb'),
                  "design.toml", "not valid TOML", ""),
    "truncated header": (add("\n[plan"), "design.toml", "not valid TOML", "Mend"),
    "name twice": (sub('volume = "62 L"', 'volume = "62 L"\nvolume = "63 L"'), "design.toml",
                   "not valid TOML", ""),
    "table twice": (add('\n[plan]\ntitle = "x"\n'), "design.toml", "not valid TOML", ""),
    "dotted name against a value": (sub('volume = "62 L"', 'volume = "62 L"\nvolume.x = 1'),
                                    "design.toml", "not valid TOML", ""),
    "latin-1": (encoded("latin-1"), "design.toml", "not UTF-8", "line 1"),
    "utf-16": (encoded("utf-16"), "design.toml", "not UTF-8", "line 1"),
    "byte order mark": (encoded("utf-8-sig"), "design.toml", "byte order mark", "without"),
    "zero byte": (sub('"Harbour hall main"', '"Harbour\0hall"'), "design.toml", "not valid TOML",
                  r"\x00"),
    "binary": (put(bytes(range(256))), "design.toml", "", ""),
    "deep lists": (add(f"\n[x]\ny = {'[' * 60}{']' * 60}\n"), "design.toml", "too deeply", ""),
    "lists deeper than the reader": (add(f"\n[x]\ny = {'[' * 9000}{']' * 9000}\n"), "design.toml",
                                     "too deeply", ""),
    "deep dotted names": (add(f"\n{'.'.join('a' * 3000)} = 1\n"), "design.toml", "too deeply", ""),
    "a folder": (folder_instead("design.toml"), "design.toml", "a folder, not a file", ""),
    "a link to itself": (loop("design.toml"), "design.toml", "leads to itself", ""),
    "no design file": (nothing("design.toml"), "design.toml", "no such file", "speakerwright new"),
    # format
    "format missing": (sub("\nformat = 1", ""), "format", "does not say its format", "format = 1"),
    "format 0": (sub("\nformat = 1", "\nformat = 0"), "format", "no format 0", ""),
    "format 99": (sub("\nformat = 1", "\nformat = 99"), "format", "newer than this program", ""),
    "format as text": (sub("\nformat = 1", '\nformat = "1"'), "format", "not say its format", ""),
    "format true": (sub("\nformat = 1", "\nformat = true"), "format", "not say its format", ""),
    "format of many digits": (sub("\nformat = 1", f"\nformat = 0x{'f' * 9000}"), "format",
                              "newer than", ""),
    "record's format 99": (sub("format = 1", "format = 99", LOW), f"{WOOFER}.format",
                           "newer than this program", ""),
    "record's format missing": (sub("format = 1\n", "", LOW), f"{WOOFER}.format",
                                "does not say its format", ""),
    # drivers and records
    "missing record": (nothing(LOW), "drivers.low.record", "there is no record 'moorhoot-12'",
                       ""),
    "mistyped record": (sub('"moorhoot-12"', '"moorhoot-21"'), "drivers.low.record",
                        "no record", "Did you mean 'moorhoot-12'?"),
    "record outside the folder": (sub('"moorhoot-12"', '"../design"'), "drivers.low.record",
                                  "no record", ""),
    "record by an absolute path": (sub('"moorhoot-12"', '"/etc/passwd"'), "drivers.low.record",
                                   "no record", ""),
    "horn as a driver": (sub('"moorhoot-12"', '"saltpiper-bell-90x60"'), "drivers.low.record",
                         "is a horn, not a driver", ""),
    "driver as a horn": (sub('horn = "saltpiper-bell-90x60"', 'horn = "moorhoot-12"'),
                         "drivers.high.horn", "is a driver, not a horn", ""),
    "record with an odd name": (renamed("moorhoot-12.toml", "moor.hoot!.toml"),
                                'records."moor.hoot!"', "cannot serve as a name", "letters"),
    "record that is a folder": (folder_instead(LOW), LOW, "a folder, not a file", ""),
    "record that is no TOML": (put("fs = = 3", LOW), LOW, "not valid TOML", ""),
    "record that is a loop": (loop(LOW), LOW, "leads to itself", ""),
    "record of another kind": (sub('what = "driver"', 'what = "drive"', LOW), f"{WOOFER}.what",
                               "words known", "'driver'"),
    "horn of a driver's type": (sub('what = "horn"', 'what = "horn"\ntype = "cone"', HORN),
                                "records.saltpiper-bell-90x60.type", "not a cone", ""),
    "horn without a throat": (sub("[throat]", "[exit]", HORN),
                              "records.saltpiper-bell-90x60.throat", "has a throat", ""),
    "compression driver without an exit": (sub("[exit]", "[throat]", HIGH),
                                           "records.saltpiper-25.exit", "has an exit", ""),
    "range descending": (sub('["45 Hz", "2500 Hz"]', '["2500 Hz", "45 Hz"]', LOW),
                         f"{WOOFER}.datasheet.range", "does not rise", ""),
    "range too short": (sub('["45 Hz", "2500 Hz"]', '["2500 Hz"]', LOW),
                        f"{WOOFER}.datasheet.range", "too few", ""),
    "response not rising": (sub('["2000 Hz", "108.9 dB"]', '["500 Hz", "108.9 dB"]', HIGH),
                            "records.saltpiper-25.datasheet.response", "do not rise", ""),
    "inductance law lacks a figure": (sub('r2 = "7 ohm"\n', "", LOW),
                                      f"{WOOFER}.datasheet.inductance.r2", "needs it", ""),
    "inductance law has one too many": (sub('law = "l2r2"', 'law = "plain"', LOW),
                                        f"{WOOFER}.datasheet.inductance.l2", "does not use", ""),
    "damage below the linear travel": (sub('xdamage = "16 mm"', 'xdamage = "6 mm"', LOW),
                                       f"{WOOFER}.datasheet.xdamage", "below xmax", ""),
    "no drivers": (sub('[drivers.low]\nrecord = "moorhoot-12"\n\n[drivers.high]\n'
                       'record = "saltpiper-25"\nhorn = "saltpiper-bell-90x60"\n', "[drivers]\n"),
                   "drivers", "no drivers", "[drivers.low]"),
    "two drivers not wired": (sub('record = "moorhoot-12"', 'record = "moorhoot-12"\ncount = 2'),
                              "drivers.low.wiring", "not wired", "series"),
    "one driver wired": (sub('record = "moorhoot-12"', 'record = "moorhoot-12"\nwiring="series"'),
                         "drivers.low.wiring", "cannot be wired", ""),
    "job with an underscore": (add('\n[drivers.low_two]\nrecord = "moorhoot-12"\n'),
                               "drivers.low_two", "cannot serve as a name", "hyphens"),
    # bass
    "closed chamber with a port": (sub('"vented"', '"closed"'), "bass.main.port",
                                   "closed chamber has a port", ""),
    "vented chamber without a port": (sub(f'{PORT}centres = "150 mm"\n{TUNED}', ""),
                                      "bass.main.port", "has no port", ""),
    "tuning and length": (sub(TUNED, f'{TUNED}length = "90 mm"\n'), "bass.main.port.tuning",
                          "either a tuning or a length", ""),
    "neither tuning nor length": (sub(TUNED, ""), "bass.main.port.tuning",
                                  "either a tuning or a length", ""),
    "ports that overlap": (sub('"150 mm"', '"90 mm"'), "bass.main.port.centres", "overlap", ""),
    "ports without a distance": (sub('centres = "150 mm"\n', ""), "bass.main.port.centres",
                                 "no distance", ""),
    "slot with a bore": (sub('shape = "round"', 'shape = "slot"'), "bass.main.port.bore",
                         "slot has no bore", ""),
    "round port with a height": (sub('bore = "100 mm"', 'bore = "100 mm"\nheight = "9 mm"'),
                                 "bass.main.port.shape", "no width, height", ""),
    "two chambers for one driver": (add('\n[bass.sub]\nloads = ["low"]\nloading = "closed"\n'
                                        'volume = "9 L"\n'), "bass.sub.loads",
                                    "already in 'main'", ""),
    "several jobs in one chamber": (sub('["low"]', '["low", "high"]'), "bass.main.loads",
                                    "not worked out", "count"),
    "unknown driver in a chamber": (sub('["low"]', '["lwo"]'), "bass.main.loads",
                                    "no driver 'lwo'", "Did you mean 'low'?"),
    "filter of nothing": (sub('order = 2\nfrequency = "40 Hz"\n', ""), "bass.main.high_pass",
                          "filters nothing", ""),
    "half a filter": (sub('order = 2\n', ""), "bass.main.high_pass.order", "order and frequency",
                      ""),
    # the rest
    "hand-over of strangers": (sub("[crossover.low_high]", "[crossover.low_hihg]"),
                               "crossover.low_hihg", "named after two drivers", "low_high"),
    "hand-over to itself": (sub("[crossover.low_high]", "[crossover.low_low]"),
                            "crossover.low_low", "two drivers", ""),
    # directivity: places on the baffle
    "place for a driver unknown": (sub("[directivity.high]", "[directivity.hihg]"),
                                   "directivity.hihg", "no driver 'hihg'",
                                   "Did you mean 'high'?"),
    "two places for one driver": (sub('at = [["0 mm", "794 mm"]]',
                                      'at = [["0 mm", "794 mm"], ["9 mm", "9 mm"]]'),
                                  "directivity.high.at", "names 2 places for 1 driver",
                                  "one place for each"),
    "one place for two drivers": (sub('record = "moorhoot-12"', 'record = "moorhoot-12"\ncount = 2'
                                      '\nwiring = "series"'), "directivity.low.at",
                                  "for 2 drivers", "one place for each"),
    "place without a height": (sub('at = [["0 mm", "794 mm"]]', 'at = [["0 mm"]]'),
                               "directivity.high.at.0", "too few", ""),
    "place that is no pair": (sub('at = [["0 mm", "794 mm"]]', 'at = ["0 mm", "794 mm"]'),
                              "directivity.high.at.0", "not a list", "square brackets"),
    "flush by true": (sub('bolt_angle = "22.5 deg"', "flush = true"), "directivity.low.flush",
                      "words known", "no, yes"),
    # cabinet
    "bass without a room": (sub("[cabinet.chambers.main]", "[cabinet.chambers.mian]"),
                            "cabinet.chambers", "no room for the bass's chamber 'main'",
                            "Add [cabinet.chambers.main]"),
    "brace in no room": (sub('chamber = "main"', 'chamber = "mian"'), "cabinet.braces.0.chamber",
                         "no chamber 'mian'", "Did you mean 'main'?"),
    "brace without a room": (sub('chamber = "main"\n', ""), "cabinet.braces.0.chamber", "missing",
                             ""),
    "ports in no room": (sub("[cabinet.ports.main]", "[cabinet.ports.mian]"), "cabinet.ports.mian",
                         "no chamber 'mian'", "Did you mean 'main'?"),
    "closes no room": (sub('rabbet = "6 mm"', 'rabbet = "6 mm"\ncloses = "mian"'),
                       "cabinet.closes", "no chamber 'mian'", "Did you mean 'main'?"),
    "two sizes left free": (sub('width = "450 mm"\ndepth = "300 mm"\n', ""), "cabinet.depth",
                            "width and depth are left free", "two of width, height and depth"),
    "all sizes left free": (both(sub('width = "450 mm"\ndepth = "300 mm"\n', ""),
                                 sub('height = "252 mm"  ', "#")), "cabinet.height",
                            "are left free", "two of width, height and depth"),
    "two rooms without a height": (both(sub('height = "632 mm"\n', ""),
                                        sub('height = "252 mm"  ', "#")), "cabinet.chambers",
                                   "main and top have no height", "Only one chamber"),
    "heights that do not add up": (sub('width = "450 mm"', 'width = "450 mm"\nheight = "940 mm"'),
                                   "cabinet.height", "add up to 938 mm", "leave one"),
    "heights that leave nothing": (both(sub('width = "450 mm"',
                                            'width = "450 mm"\nheight = "306 mm"'),
                                        sub('height = "632 mm"\n', "")), "cabinet.height",
                                   "leave nothing of it", "Raise it"),
    "rabbet as deep as the sheet": (sub('rabbet = "6 mm"', 'rabbet = "18 mm"'), "cabinet.rabbet",
                                    "less deep than the sheet", "between nothing and the sheet"),
    "rabbet of nothing": (sub('rabbet = "6 mm"', 'rabbet = "0 mm"'), "cabinet.rabbet",
                          "less deep than the sheet", "between nothing and the sheet"),
    "sheets thicker than the cabinet": (sub('sheet = "18 mm"', 'sheet = "240 mm"'),
                                        "cabinet.width", "leaves nothing between two sheets",
                                        "larger"),
    "joint of another kind": (sub('joint = "rabbet"', 'joint = "finger"'), "cabinet.joint",
                              "words known", "butt"),
    "brace with more window than wood": (sub("open = 0.5", "open = 0.99"), "cabinet.braces.0.open",
                                         "out of range", "0.95"),
    # cutting
    "no sheets to cut": (sub(SHEET, "sheets = []\n"), "cutting.sheets", "names no sheet",
                         "[[cutting.sheets]]"),
    "sheet within its margins": (both(sub('margin = "10 mm"', 'margin = "150 mm"'),
                                      sub('["2440 mm", "1220 mm"]', '["2440 mm", "300 mm"]')),
                                 "cutting.sheets.0.size", "leave nothing of the sheet", ""),
    "sheet thicker than wide": (sub("price = 84", 'price = 84\nthickness = "1.3 m"'),
                                "cutting.sheets.0.thickness", "thicker than it is wide",
                                "swapped"),
    "two sheets of one name": (add("\n" + SHEET), "cutting.sheets.1.name", "same name", ""),
    "seats inside out": (sub('nearest = "2.5 m"', 'nearest = "25 m"'), "brief.seats.nearest",
                         "behind the farthest", "Swap"),
    "no seats": (sub('nearest = "2.5 m"\nfarthest = "11 m"\n', ""), "brief.seats", "no seats", ""),
    "seats both ways": (sub('widest = "40 deg"',
                            'points = [{ name = "a", distance = "3 m" }]'), "brief.seats",
                        "points and a range", ""),
    "two seats of one name": (sub('nearest = "2.5 m"\nfarthest = "11 m"\n', 'points = [{ name = '
                                  '"a", distance = "3 m" }, { name = "a", distance = "4 m" }]\n'),
                              "brief.seats.points", "same name", ""),
    "highest below lowest": (sub('lowest = "50 Hz"', 'lowest = "50 Hz"\nhighest = "40 Hz"'),
                             "brief.highest", "not above", ""),
    "air too cold": (add('\n[brief.air]\ntemperature = "-80 degC"\n'), "brief.air.temperature",
                     "out of range", "−20"),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_design_is_told_in_plain_sentences(name, hall, monkeypatch, capfd):
    change, where, says, hint = WRONG[name]
    change(hall)
    before = contents(hall)
    status, out, lines = run(monkeypatch, capfd, "check", hall)
    assert status == 2
    assert out == ""
    text = "\n".join(lines)
    assert not LIBRARY_WORDS.search(text), text
    assert all(len(line) < 500 and line.replace("\u202f", " ").isprintable() for line in lines)
    mine = [line for line in lines if line.startswith(f"{where}: ")]
    assert mine, text
    assert any(says in line and hint in line for line in mine), mine
    assert all(line.endswith((".", "?")) for line in lines), lines
    assert contents(hall) == before


def test_there_are_many_wrong_designs():
    assert len(WRONG) > 135


def test_a_room_may_stand_for_more_than_the_bass_asks_for(hall):
    """A chamber of the cabinet that no driver's bass is worked out in is a room all the same."""
    assert list(read_project(hall).design.decided.cabinet.chambers) == ["main", "top"]
    sub("[cabinet.chambers.top]", "[cabinet.chambers.network]")(hall)
    sub('chamber = "main"', 'chamber = "network"')(hall)
    sub("[cabinet.ports.main]", "[cabinet.ports.network]")(hall)
    decided = read_project(hall).design.decided
    assert list(decided.cabinet.chambers) == ["main", "network"]
    assert list(decided.bass) == ["main"]


@pytest.mark.parametrize("command", [["brief"], ["drivers"], ["bass"], ["cabinet"],
                                     ["cutting"], ["plan"],
                                     ["set", "bass.main.volume", "60 L"],
                                     ["accept", "x at y", "--reason", "z"]])
def test_every_command_refuses_a_wrong_design_alike(command, hall, monkeypatch, capfd):
    sub('"62 L"', '"62 kg"')(hall)
    before = contents(hall)
    status, out, lines = run(monkeypatch, capfd, *command, hall)
    assert (status, out) == (2, "")
    assert lines == ["bass.main.volume: '62 kg' is not a volume: 'kg' does not measure this. "
                     'Write it like "92 L".']
    assert contents(hall) == before


def test_all_errors_come_at_once_and_unknown_names_first(hall, monkeypatch, capfd):
    for change in (
        sub('"62 L"', '"62 kg"'), sub("leak_q = 7", "leak_q = nan"),
        sub('"recess"', '"reces"'), sub('["low"]', '["lwo"]'),
        sub("lowest_drop =", "lowest_dorp ="), sub("\nfs =", "\nffs =", LOW),
    ):
        change(hall)
    status, _, lines = run(monkeypatch, capfd, "check", hall)
    assert status == 2
    assert len(lines) == 6
    places = [line.partition(":")[0] for line in lines]
    assert places[:3] == ["brief.lowest_dorp", f"{WOOFER}.datasheet.ffs", "bass.main.loads"]
    assert set(places[3:]) == {"brief.place.kind", "bass.main.losses.leak_q", "bass.main.volume"}
    assert "Did you mean 'lowest_drop'?" in lines[0]


def test_errors_of_several_files_come_together(hall, monkeypatch, capfd):
    put("fs = = 3", HIGH)(hall)
    sub('fs = "50.33 Hz"', 'fs = "50.33 mm"', LOW)(hall)
    put("[[", "design.toml")(hall)
    _, _, lines = run(monkeypatch, capfd, "check", hall)
    assert [line.partition(":")[0] for line in lines] == [
        "design.toml", HIGH, f"{WOOFER}.datasheet.fs"
    ]


def test_a_record_that_cannot_be_read_is_not_also_called_missing(hall, monkeypatch, capfd):
    put("fs = = 3", LOW)(hall)
    _, _, lines = run(monkeypatch, capfd, "check", hall)
    assert [line.partition(":")[0] for line in lines] == [LOW]


@pytest.mark.parametrize("file", ["design.toml", LOW])
def test_a_file_that_may_not_be_read(file, hall, monkeypatch, capfd):
    real = Path.read_bytes

    def forbidden(path):
        if path.name == Path(file).name:
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(Path, "read_bytes", forbidden)
    status, _, lines = run(monkeypatch, capfd, "check", hall)
    assert status == 2
    assert lines == [f"{file}: reading or writing it is not permitted. Check the file."]


def test_a_records_folder_that_may_not_be_listed(hall, monkeypatch, capfd):
    def forbidden(path):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", forbidden)
    status, _, lines = run(monkeypatch, capfd, "check", hall)
    assert status == 2
    assert "records: reading or writing it is not permitted. Check the folder." in lines


def test_hidden_files_among_the_records_are_left_alone(hall):
    (hall / "records" / ".#moorhoot-12.toml").symlink_to("nobody@nowhere")
    (hall / "records" / ".half.toml").write_text("fs = = 3", encoding="utf-8")
    assert set(read_project(hall).records) == set(read_project(HALL).records)


def test_text_of_a_record_is_never_a_template(hall, monkeypatch, capfd):
    sub('name = "Moorhoot 12"', 'name = "Moor {0} {value} {x!r} {{"', LOW)(hall)
    sub('xmax = "6.5 mm"\n', "", LOW)(hall)
    sub('width = "450 mm"', 'width = "300 mm"')(hall)
    status, out, lines = run(monkeypatch, capfd, "check", hall)
    assert status == 1
    assert lines == []
    assert "Moor {0}" in out
    assert "{x!r} {{" in " ".join(out.split())


def test_a_design_refuses_what_is_nested_without_end():
    project = read_project(HALL)
    deep = {}
    for _ in range(100_000):
        deep = {"a": deep}
    with pytest.raises(DesignErrors) as caught:
        project.design.with_value("bass.main.x", deep)
    assert "too deeply" in str(caught.value)


# --- what can be read but not built: findings, status 1, and still a draft ------------------------

UNBUILDABLE = {
    "frame wider than the baffle": (
        [sub('width = "450 mm"', 'width = "300 mm"')], "driver_width",
        "to the baffle's edge there are −15.0 mm"),
    "magnet through the back": (
        [sub('depth = "300 mm"\nsheet', 'depth = "140 mm"\nsheet')], "driver_depth",
        "−16.0 mm are clear"),
    "volume that does not close": (
        [sub('height = "632 mm"', 'height = "400 mm"')], "volume_closes", "net"),
    "port as wide as the box": (
        [sub('count = 2\nbore = "100 mm"', 'bore = "400 mm"'), sub('centres = "150 mm"\n', "")],
        "port_gap", "does not fit"),
    "port as fine as a needle": (
        [sub('count = 2\nbore = "100 mm"', 'bore = "1 mm"'), sub('centres = "150 mm"\n', "")],
        "port_tunes", "No port length of this area"),
    "port too long for the depth": (
        [sub('tuning = "50 Hz"', 'length = "290 mm"')], "port_gap", "does not fit"),
    "record without its motor": (
        [sub(line, "", LOW) for line in ('bl = "15.2 T m"\n', "qes = 0.3627\n", "qts = 0.3408\n")],
        "chamber_worked_out", "does not give or imply bl"),
    "a free size that nothing closes": (
        [sub('depth = "300 mm"\nsheet', 'height = "938 mm"\ncloses = "top"\nsheet')],
        "sizes_settle", "The free depth finds no size"),
    "brace through the woofer": (
        [sub('at = "232 mm"', 'at = "485 mm"')], "parts_collide",
        "brace and Moorhoot 12 want the same place"),
    "woofer beside the baffle": (
        [sub('["0 mm", "503 mm"]', '["200 mm", "503 mm"]')], "cut_on_baffle",
        "M6 insert for Moorhoot 12 does not lie on the baffle"),
    "deeper than the recess": (
        [sub('depth = "300 mm"\nsheet', 'depth = "320 mm"\nsheet')], "size_within",
        "depth is 320.0 mm; the brief allows 300.0 mm"),
    "sheets of another material": (
        [sub('price = 84\nmaterial = "birch plywood"', 'price = 84\nmaterial = "MDF"')],
        "stock_matches", "no sheet of their material"),
}


@pytest.mark.parametrize("name", UNBUILDABLE)
def test_what_cannot_be_built_is_a_finding_and_stops_the_plan(
    name, hall, monkeypatch, capfd, tmp_path
):
    changes, rule, says = UNBUILDABLE[name]
    for change in changes:
        change(hall)
    before = contents(hall)
    status, out, lines = run(monkeypatch, capfd, "check", hall)
    assert (status, lines) == (1, [])
    assert f"  {rule}" in out
    assert says in " ".join(out.split()).replace("\u202f", " ")
    pdf = tmp_path / "plan.pdf"
    status, out, lines = run(monkeypatch, capfd, "plan", hall, "--out", pdf)
    assert (status, lines) == (1, [])
    assert rule in out
    assert "No plan was written" in out
    assert not pdf.exists()
    status, out, lines = run(monkeypatch, capfd, "plan", hall, "--out", pdf, "--draft")
    assert (status, lines) == (0, [])
    assert pdf.read_bytes().startswith(b"%PDF")
    assert contents(hall) == before
