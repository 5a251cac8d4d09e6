"""The shipped course: enough of everything, easy to read, cautious where it must be."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from quizgen.bank.models import Bank, Question
from quizgen.variants.general import may_be_meant
from quizgen.variants.laws import laws_of
from quizgen.web.coverage import direct_needs
from tests.once import shipped_bank

COURSE = Path(__file__).parents[2] / "course"
PAGES = sorted((COURSE / "pages").glob("*.md"))
MODULES = [page for page in PAGES if re.search(r"(?m)^module: ", page.read_text(encoding="utf-8"))]


@cache
def bank() -> Bank:
    return shipped_bank()


def prose(markdown: str) -> str:
    """Running text: no front matter, fences, tables, figures, formulas or markup."""
    text = re.sub(r"\A---\n.*?\n---\n", "", markdown, flags=re.DOTALL)
    text = re.sub(r"(?ms)^[ ]*(```|~~~).*?^[ ]*\1[ ]*$", "", text)
    text = re.sub(r"(?s)<(svg|figure|table|math)\b.*?</\1>", "", text)
    text = re.sub(r"(?m)^\s*\|.*$|^\s*!!!.*$|^#+ .*$", "", text)
    text = re.sub(r"`show [^`]*`", "7", text)
    text = re.sub(r"\]\([^)]*\)|<[^>]+>|[`*_\[\]{}#>]", " ", text)
    # A list item ends a thought even where no full stop follows.
    return re.sub(r"(?m)^\s*(?:[-+*]|\d+\.)\s+(.*?)(?=\n\s*(?:[-+*]|\d+\.)\s|\n\n|\Z)", r"\1.\n", text)


def lix(text: str) -> float:
    """Words per sentence plus the share of words over six letters in percent.

    Source: C.-H. Björnsson, Läsbarhet, Liber, 1968 (definition from memory).
    """
    words = re.findall(r"[^\W\d_]+(?:['’-][^\W\d_]+)*", text)
    sentences = [part for part in re.split(r"[.!?:]+(?:\s|$)", text) if re.search(r"[^\W\d_]", part)]
    return len(words) / len(sentences) + 100 * sum(len(word) > 6 for word in words) / len(words)


def test_the_measure_of_reading_ease_is_the_published_one() -> None:
    """Four words, one of them long, in two sentences: 2 + 25."""
    assert lix("Look here. Measure it.") == pytest.approx(2 + 100 / 4)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_an_apprentice_of_seventeen_reads_each_page_easily(page: Path) -> None:
    assert lix(prose(page.read_text(encoding="utf-8"))) <= 42


@pytest.mark.parametrize("page", MODULES, ids=lambda page: page.stem)
def test_each_module_page_has_what_a_learner_needs(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    for heading in (r"able to do", r"need first", r"long it takes", r"mistakes", r"reading", r"facts come from"):
        assert re.search(rf"(?mi)^#+ .*{heading}", text), heading
    assert "```practice" in text and "```worked" in text
    assert "<svg" in text and text.count("<title") >= text.count("<svg")
    assert re.search(r"(?i)training aid", text) and re.search(r"(?i)local (rules|codes|law)|national law", text)


@pytest.mark.parametrize("page", MODULES, ids=lambda page: page.stem)
def test_a_page_names_every_module_that_it_needs_directly(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    module = bank().modules[re.search(r"(?m)^module: (\S+)", text).group(1)]  # type: ignore[union-attr]
    said = re.search(r"(?s)## What you need first\n(.*?)\n## ", text)
    linked = set(re.findall(r"\]\(([a-z-]+)\.md\)", said[1] if said else ""))
    assert set(direct_needs(bank(), module)) <= linked


@pytest.mark.parametrize("page", MODULES, ids=lambda page: page.stem)
def test_the_minutes_on_a_page_are_those_of_its_module(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    said = re.search(r"(?s)## How long it takes\n\n.*?: (\d+) minutes to read, (\d+) to practise", text)
    module = bank().modules[re.search(r"(?m)^module: (\S+)", text).group(1)]  # type: ignore[union-attr]
    assert said and sum(int(minutes) for minutes in said.groups()) == module.minutes


@pytest.mark.parametrize("page", MODULES, ids=lambda page: page.stem)
def test_figures_take_the_page_s_colours(page: Path) -> None:
    figures = re.findall(r"(?s)<svg.*?</svg>", page.read_text(encoding="utf-8"))
    for figure in figures:
        assert "currentColor" in figure and not re.search(r"#[0-9a-fA-F]{3,8}\b|rgb\(", figure)


def test_the_bank_holds_what_a_whole_course_needs() -> None:
    held = bank()
    kinds = [question.kind for question in held.questions.values()]
    slips = sum(len(law.slips) for law in (*held.formulas.values(), *held.tables.values()))
    slips += sum(len(question.slips) for question in held.questions.values())
    assert len(held.formulas) + len(held.tables) >= 75
    assert len(kinds) >= 170 and kinds.count("numeric") >= 120
    assert sum(kind != "numeric" for kind in kinds) >= 45
    assert sum(len(question.steps) >= 2 for question in held.questions.values()) >= 25
    assert slips >= 150


def test_every_module_has_its_page_in_the_order_of_the_course() -> None:
    named = re.findall(r"(?m)^      - ([a-z-]+)\.md$", (COURSE.parent / "mkdocs.yml").read_text(encoding="utf-8"))
    taught = {re.search(r"(?m)^module: (\S+)", p.read_text(encoding="utf-8")).group(1) for p in MODULES}  # type: ignore[union-attr]
    assert taught == set(bank().modules)
    assert [name for name in named if name in taught] == list(bank().modules)


def test_every_outcome_of_a_module_with_a_page_has_a_question() -> None:
    held = bank()
    named = {re.search(r"(?m)^module: (\S+)", p.read_text(encoding="utf-8")).group(1) for p in MODULES}  # type: ignore[union-attr]
    practised = {question.outcome for question in held.questions.values()}
    missing = [o.id for o in held.outcomes.values() if o.module in named and o.id not in practised]
    assert missing == []


AVOIDED = (
    "safe to touch", "dead after", "below 60 v is safe", "short the capacitor", "earth the hv bus", "quickly check",
    "just unplug", "voltage-free battery",
)  # fmt: skip


def test_words_that_could_hurt_someone_stand_only_as_quoted_mistakes() -> None:
    """Wording that workshops use and that has led people to touch what was live; common practice to avoid it."""
    for page in PAGES:
        text = page.read_text(encoding="utf-8").lower()
        for words in AVOIDED:
            for found in re.finditer(re.escape(words), text):
                before = text[max(0, found.start() - 60) : found.start()]
                assert re.search(r"[\"“‘«*_]", before), (page.name, text[found.start() - 40 : found.end() + 20])


def test_no_given_fact_is_without_a_source() -> None:
    held = bank()
    assert [law.id for law in (*held.formulas.values(), *held.tables.values()) if not law.citations] == []


SWITCHED_OFF = [(question, name) for question in bank().questions.values() for name in question.without]


@pytest.mark.parametrize(("question", "name"), SWITCHED_OFF, ids=lambda one: getattr(one, "id", one))
def test_a_slip_is_switched_off_only_where_it_would_be_tried(question: Question, name: str) -> None:
    units = [given.unit for given in question.givens] + [step.unit for step in question.steps]
    laws = laws_of(bank(), replace(question, without=()))
    general = {one for law in laws for one in may_be_meant(law.step.unit, units, law.table is not None)}
    assert name in general | {slip.id for law in laws for slip in law.slips}, "nothing tries it: take the line out"
