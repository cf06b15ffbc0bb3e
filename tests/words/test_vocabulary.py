"""Nine words, listed once: whatever is built has a room in every house, and nothing else has."""

from __future__ import annotations

import ast
import importlib
import subprocess
import sys
from pathlib import Path

import pytest
import typer.main

from speakerwright import chain, cli
from speakerwright.design.document import Decided
from speakerwright.design.file import read_project
from speakerwright.words.rules import RULES, page
from speakerwright.words.stages import STAGES, built

ROOT = Path(__file__).parents[2]
HALL = ROOT / "examples" / "harbour-hall"
SOURCE = ROOT / "src" / "speakerwright"
COMMANDS = set(typer.main.get_command(cli.app).commands)
UNBUILT = [stage.name for stage in STAGES if not stage.built]


def test_the_nine_words_in_the_order_of_work():
    assert [stage.name for stage in STAGES] == [
        "brief", "drivers", "bass", "directivity", "cabinet", "cutting", "measure", "crossover",
        "plan",
    ]
    assert all(stage.question.endswith("?") for stage in STAGES)


@pytest.mark.parametrize("stage", built())
def test_what_is_built_is_everywhere(stage):
    assert importlib.import_module(f"speakerwright.{stage}").__doc__
    assert stage in Decided.model_fields
    assert stage in COMMANDS
    page_ = ROOT / "docs" / f"{stage}.md"
    assert page_.is_file(), f"docs/{stage}.md is missing"
    assert page_.read_text(encoding="utf-8").startswith("# ")
    assert any((ROOT / "tests" / stage).rglob("test_*.py")), f"tests/{stage} holds no test"


def test_what_is_built_has_a_chapter():
    chapters = chain.chapters(chain.work(read_project(HALL).design))
    assert [stage for stage in built() if stage != "plan"] == [
        name for name in chapters if name in built()]
    assert all(chapter.stage == name for name, chapter in chapters.items())
    assert 'Chapter("plan"' in (SOURCE / "plan" / "stage.py").read_text(encoding="utf-8")


@pytest.mark.parametrize("stage", UNBUILT)
def test_what_is_not_built_has_no_command(stage):
    assert stage not in COMMANDS


def _calls():
    """Every rule named where a finding is made, with the file; and every word said anywhere."""
    direct, words = [], {}
    for path in sorted(SOURCE.rglob("*.py")):
        if path.name == "rules.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and node.value in RULES:
                words.setdefault(node.value, set()).add(path.relative_to(SOURCE))
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            if node.func.id in ("judge", "unknown", "Finding") and node.args and isinstance(
                node.args[0], ast.Constant
            ):
                direct.append((node.args[0].value, path.relative_to(SOURCE)))
    return direct, words


DIRECT, WORDS = _calls()


def test_every_rule_that_is_used_is_listed():
    assert len(DIRECT) > 20
    assert [(word, str(path)) for word, path in DIRECT if word not in RULES] == []


@pytest.mark.parametrize("word", RULES)
def test_every_rule_that_is_listed_is_used_by_its_own_stage(word):
    stage = RULES[word].stage
    assert word in WORDS, f"no code speaks for {word}"
    assert any(path.parts[0] in (stage, "chain") for path in WORDS[word])


def test_rules_ask_a_question_and_give_a_reason():
    names = [stage.name for stage in STAGES]
    for rule in RULES.values():
        assert rule.stage in names
        assert rule.asks.endswith("?")
        assert rule.why.endswith(".")
        assert rule.word == rule.word.lower()


def test_the_page_of_findings_is_up_to_date():
    text = (ROOT / "docs" / "findings.md").read_text(encoding="utf-8")
    assert text == page(), "run: python -m speakerwright.words.rules > docs/findings.md"
    assert all(f"### {word}\n" in text for word in RULES)


def test_the_page_of_findings_prints_itself():
    done = subprocess.run([sys.executable, "-W", "ignore", "-m", "speakerwright.words.rules"],
                          capture_output=True, check=True, cwd=Path(__file__).parent)
    assert done.stdout.decode("utf-8") == page()
