"""The page of outside checks is up to date, and every list names what it checks."""

from . import report


def test_page_is_up_to_date():
    assert report.PAGE.read_text(encoding="utf-8") == report.page(), (
        "run: python tests/published/report.py"
    )


def test_every_file_lists_what_it_checks():
    for path, module in report._modules():
        listed = getattr(module, "CHECKS", []) or getattr(module, "OWN", [])
        assert listed, path.name
        for entry in getattr(module, "CHECKS", []):
            assert entry[2] in ("recomputed", "read", "memory"), path.name


def test_own_computations_are_not_counted_as_outside():
    outside, _ = report.collect()
    assert not any("own" in source.split() for found in outside.values() for source, _ in found)
