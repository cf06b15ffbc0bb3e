"""Random cabinets that mostly cannot be built end in findings or plain errors, never in others."""

from __future__ import annotations

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from speakerwright.chain import Memo, chapters, cut_files, work
from speakerwright.design.document import Design
from speakerwright.words.errors import DesignErrors

from .designs import raw, record

SIZE = st.one_of(st.floats(0.5, 60), st.floats(60, 700), st.floats(700, 5000))
PLACE = st.floats(-900, 900)


def mm(strategy):
    return strategy.map(lambda value: f"{value:.2f} mm")


def some(strategy):
    return st.one_of(st.none(), strategy)


def table(**entries):
    """A table whose entries that draw None are left out."""
    return st.fixed_dictionaries(entries).map(
        lambda made: {name: value for name, value in made.items() if value is not None})


BODY = table(
    frame=some(mm(SIZE)), cutout=some(mm(SIZE)), flange=some(mm(st.floats(0.5, 40))),
    depth=some(mm(SIZE)), magnet_diameter=some(mm(SIZE)), magnet_height=some(mm(SIZE)),
    volume=some(st.floats(0.01, 30).map(lambda v: f"{v:.3f} L")),
    bolts=some(st.integers(1, 12)), bolt=st.sampled_from(["M4", "M8", "no. 8"]),
    bolt_circle=some(mm(SIZE)),
)
HORN = table(
    frame_size=some(st.tuples(mm(SIZE), mm(SIZE)).map(list)),
    cutout_size=some(st.tuples(mm(SIZE), mm(SIZE)).map(list)),
    flange=some(mm(st.floats(0.5, 40))), bolts=some(st.integers(1, 12)),
)
PORT = st.one_of(
    table(bore=mm(st.floats(5, 600)), wall=mm(st.floats(0, 20)), count=st.just(1),
          length=mm(SIZE)),
    table(bore=mm(st.floats(5, 300)), count=st.just(3), centres=mm(st.floats(5, 900)),
          tuning=st.floats(5, 200).map(lambda f: f"{f:.1f} Hz")),
    table(shape=st.just("slot"), width=mm(st.floats(5, 900)), height=mm(st.floats(2, 300)),
          wall=mm(st.floats(0, 30)), walls_shared=st.sampled_from([0, 1, 3]), length=mm(SIZE)),
)
CABINET = table(
    free=st.sampled_from([None, "width", "height", "depth"]),
    width=mm(SIZE), height=mm(SIZE), depth=mm(SIZE), sheet=mm(st.floats(0.2, 40)),
    joint=st.sampled_from(["butt", "rabbet"]),
    material=st.sampled_from(["birch plywood", "MDF", "slate"]),
    braces=st.lists(table(chamber=st.just("main"), at=mm(SIZE), behind=some(mm(SIZE)),
                          open=st.floats(0, 0.95), sheet=some(mm(st.floats(1, 40)))), max_size=2),
    chambers=st.sampled_from([{}, {"main": {}}, {"main": {}, "top": {"height": "100 mm"}},
                              {"top": {"height": "80 mm"}, "main": {"height": "300 mm"}}]),
    ports=some(table(main=st.just({"at": [["50 mm", "70 mm"]]}))),
)
MOUNTED = table(at=st.tuples(mm(PLACE), mm(PLACE)).map(lambda at: [list(at)]),
                flush=st.sampled_from(["yes", "no"]), bolt_angle=st.just("20 deg"))
HORN_DRIVER = {"format": 1, "what": "driver", "type": "compression", "name": "Test exit",
               "exit": {"diameter": "25 mm"}, "body": {"depth": "60 mm",
                                                       "magnet_diameter": "100 mm"}}
DESIGN = st.fixed_dictionaries({
    "cone": BODY, "bell": HORN, "horn_at": MOUNTED, "at": MOUNTED, "cabinet": CABINET,
    "port": some(PORT), "volume": st.floats(0.05, 900), "horned": st.booleans(),
})


def built(drawn):
    """Parsed text of a design from what was drawn."""
    chamber = {"loads": ["low"], "loading": "closed", "volume": f"{drawn['volume']:.3f} L"}
    if drawn["port"] is not None:
        chamber |= {"loading": "vented", "port": drawn["port"]}
    cabinet = {name: value for name, value in drawn["cabinet"].items()
               if name not in ("free", drawn["cabinet"].get("free"))}
    sections = {"bass": {"main": chamber}, "cabinet": cabinet,
                "directivity": {"low": drawn["at"]},
                "cutting": {"sheets": [{"name": "one", "size": ["2440 mm", "1220 mm"]}]}}
    cone = record()
    cone["body"] = drawn["cone"]
    records = {"cone": cone}
    if drawn["horned"]:
        sections["drivers"] = {"low": {"record": "cone"},
                               "high": {"record": "exit", "horn": "bell"}}
        sections["directivity"]["high"] = drawn["horn_at"]
        records["exit"] = HORN_DRIVER
        records["bell"] = {"format": 1, "what": "horn", "name": "Bell",
                           "throat": {"diameter": "25 mm"}, "mouth": ["200 mm", "150 mm"],
                           "length": "160 mm", "body": drawn["bell"]}
    return raw(**sections), records


@settings(max_examples=40, deadline=None,
          phases=(Phase.explicit, Phase.reuse, Phase.generate),  # shrinking would take minutes
          suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(DESIGN)
def test_random_cabinets_end_in_findings_or_plain_errors(drawn):
    text, records = built(drawn)
    try:
        design = Design.read(text, records)
    except DesignErrors:
        return
    found = work(design, Memo())
    assert found.findings["cabinet"]
    for finding in found.all_findings:
        assert finding.text()
    told = chapters(found, "metric")
    assert ("cabinet" in told) == (found.cabinet is not None)
    if found.cabinet is not None:
        assert cut_files(found)
    else:
        assert found.stops
