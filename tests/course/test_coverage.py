"""Every outcome of every module that has a page is practised by enough questions, and the plan adds up."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from quizgen.web.coverage import KINDS, LEAST, counts_of, coverage_html, direct_needs, levels, plan_html
from tests.once import shipped_bank

COURSE = Path(__file__).parents[2] / "course"
BANK = shipped_bank()
FINISHED = sorted(
    found[1]
    for page in (COURSE / "pages").glob("*.md")
    if (found := re.search(r"(?m)^module: (\S+)", page.read_text(encoding="utf-8")))
)


@pytest.mark.parametrize("module", FINISHED)
def test_each_outcome_has_enough_questions(module: str) -> None:
    counts = counts_of(BANK)
    short = {
        outcome: sum(counts[outcome][kind] for kind in KINDS)
        for outcome in BANK.modules[module].outcomes
        if sum(counts[outcome][kind] for kind in KINDS) < LEAST
    }
    assert short == {}


def test_every_question_is_counted_once() -> None:
    counts = counts_of(BANK)
    assert sum(one[kind] for one in counts.values() for kind in KINDS) == len(BANK.questions)
    assert sum(one["papers"] for one in counts.values()) == sum(q.papers != "none" for q in BANK.questions.values())


def test_the_table_says_what_is_short_of_the_bound() -> None:
    html = coverage_html(BANK)
    counts = counts_of(BANK)
    short = sum(sum(one[kind] for kind in KINDS) < LEAST for one in counts.values())
    assert html.count(f"(of {LEAST} at least)") == short
    assert html.count("<tr><td>You can") == len(BANK.outcomes)


def test_the_plan_names_every_module_and_its_last_sum_is_all_of_them() -> None:
    html = plan_html(BANK, lambda id: f"{id}.html")
    minutes = sum(module.minutes for module in BANK.modules.values())
    whole, rest = divmod(minutes, 60)
    said = f"{whole}\u00a0h" + (f" {rest}\u00a0min" if rest else "")
    assert re.findall(r"<td>([^<]*)</td></tr>", html)[-1] == said and f"{said} in all" in html
    assert re.findall(r'href="([a-z0-9-]+).html"', html) == list(BANK.modules)


def test_no_module_stands_beside_or_above_what_it_needs() -> None:
    row = {module.id: at for at, modules in enumerate(levels(BANK)) for module in modules}
    assert row.keys() == BANK.modules.keys()
    for module in BANK.modules.values():
        assert all(row[need] < row[module.id] for need in module.needs)


def test_a_need_that_follows_from_another_is_not_drawn() -> None:
    assert BANK.modules["supply"].needs == ("safety", "units")
    assert direct_needs(BANK, BANK.modules["supply"]) == ("units",)
