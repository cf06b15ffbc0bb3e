"""The usual cautions: which are printed, and that they defer to others."""

from __future__ import annotations

import re

import pytest

from speakerwright.plan.cautions import cautions

SUBJECTS = {
    "electric": {"Mains and amplifiers"},
    "rigging": {"Rigging and tipping"},
    "lifting": {"Lifting"},
    "cutting": {"Cutters and machines", "Dust"},
    "finishing": {"Fumes, glue and finish"},
    "magnets": {"Magnets"},
    "audience": {"Audiences"},
}


def subjects(**asked):
    return {caution.subject for caution in cautions(**asked)}


def test_hearing_comes_first_and_always():
    assert cautions()[0].subject == "Hearing"
    assert subjects(**dict.fromkeys(SUBJECTS, False)) == {"Hearing"}


@pytest.mark.parametrize("kind", list(SUBJECTS))
def test_each_kind_of_work_brings_its_cautions(kind):
    assert subjects() - subjects(**{kind: False}) == SUBJECTS[kind]


def test_cautions_are_a_few_plain_sentences():
    for caution in cautions():
        assert 2 <= len(re.findall(r"\.(?: |$)", caution.text)) <= 4, caution.subject
        assert "!" not in caution.text


def test_they_defer_to_local_rules_and_to_those_who_are_licensed():
    defers = re.compile(r"local|licensed|of your place|qualified|doctor|trained|where you play")
    assert all(defers.search(caution.text) for caution in cautions())


def test_the_lifting_equation_is_named_with_its_load_constant_in_the_reader_s_units():
    """23 kg, or 51 lb, of the revised NIOSH lifting equation (1993); status: memory."""
    (metric,) = [item.text for item in cautions() if item.subject == "Lifting"]
    (inch,) = [item.text for item in cautions(system="inch", mass=50.0)
               if item.subject == "Lifting"]
    assert "NIOSH lifting equation" in metric
    assert "23 kg" in metric
    assert "lb" not in metric
    assert "51 lb" in inch
    assert "kg" not in inch
    assert "weighs about 110.23\u202flb" in inch
    assert round(23 / 0.45359237) == 51
