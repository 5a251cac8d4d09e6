"""Banks to draw from: two small courses as they are or with changed lines, and the course itself."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.variants.compile import compile_bank, compile_question
from tests.once import shipped_bank

REPOSITORY = Path(__file__).resolve().parents[2]
TESTS = REPOSITORY / "tests"
COURSES = {"tank": TESTS / "variants" / "tank", "depot": TESTS / "bank" / "depot"}


def changed_copy(folder, course, changes):
    """A copy of a small course in which each (old, new) is replaced; `old` stands once in its bank."""
    shutil.copytree(COURSES[course] / "bank", folder / course / "bank")
    for old, new in changes:
        holding = [
            path for path in (folder / course / "bank").rglob("*.yml") if old in path.read_text(encoding="utf-8")
        ]
        assert len(holding) == 1, f"{old!r} stands in {len(holding)} files"
        text = holding[0].read_text(encoding="utf-8")
        assert text.count(old) == 1
        holding[0].write_text(text.replace(old, new), encoding="utf-8")
    return folder / course


@pytest.fixture
def bank(tmp_path):
    """bank("tank", (old, new), …): the bank of a small course with changed lines."""
    made = iter(range(1000))
    return lambda course, *changes: load_bank(changed_copy(tmp_path / str(next(made)), course, changes))


@pytest.fixture
def compiled(bank):
    """compiled("tank", "fill-the-tank", (old, new), …): the compiled question, which has no fault."""

    def make(course, question, *changes):
        whole = bank(course, *changes)
        made, faults = compile_question(whole, whole.questions[question])
        assert [str(fault) for fault in faults] == []
        return made

    return make


@pytest.fixture
def faults(bank):
    """faults("tank", "fill-the-tank", (old, new), …): what is wrong with a question, as messages."""

    def make(course, question, *changes):
        whole = bank(course, *changes)
        made, found = compile_question(whole, whole.questions[question])
        assert made is None
        return [fault.message for fault in found]

    return make


@pytest.fixture
def with_forms():
    """A bank in which a formula has other forms, which no loader has looked at."""

    def make(bank, formula, *forms):
        changed = replace(bank.formulas[formula], forms=forms)
        return replace(bank, formulas={**bank.formulas, formula: changed})

    return make


@pytest.fixture(scope="session")
def course():
    """The course of this repository: (bank, compiled questions by id)."""
    whole = shipped_bank()
    made, faults = compile_bank(whole, Cache(None))
    assert [str(fault) for fault in faults] == []
    return whole, {question["id"]: question for question in made}
