"""The course reads as one book: its modules have the same parts in the same order and hand over to each other."""

import re
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from quizgen.bank.models import Bank
from tests.once import shipped_bank

COURSE = Path(__file__).parents[2] / "course"
PAGES = sorted((COURSE / "pages").rglob("*.md"))


@cache
def bank() -> Bank:
    return shipped_bank()


def module_pages() -> dict[str, Path]:
    named = {re.search(r"(?m)^module: (\S+)", page.read_text(encoding="utf-8")): page for page in PAGES}
    return {found[1]: page for found, page in named.items() if found}


MODULES = module_pages()
READING = "In the workshop: what a reading tells you and what it rules out"
NEXT = "What comes next"
PARTS = [
    "What you will be able to do", "What you need first", "How long it takes", "Before you start",
    "From the picture to the formula", "A worked example", "Usual mistakes and why", READING, "Practise", NEXT,
    "Where the facts come from",
]  # fmt: skip
ENDING = "Limits and duties stand in the law and rules of your country."


def running_text(page: Path) -> str:
    """Prose with its lines joined: no front matter, fences, tables, drawings, headings, code or sources.

    A formula in bold counts as one word on each side.
    """
    text = re.sub(r"\A---\n.*?\n---\n", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    text = text.partition("\n## Where the facts come from")[0]
    text = re.sub(r"(?ms)^[ ]*(```|~~~).*?^[ ]*\1[ ]*$", "", text)
    text = re.sub(r"(?s)<(svg|style)\b.*?</\1>", "", text)
    text = re.sub(r"(?m)^\s*\|.*$|^\s*!!!.*$|^#+ .*$", "", text)
    text = re.sub(r"`show [^`]*`", "7", text)
    text = re.sub(r"\*\*([^*]+)\*\*", lambda bold: "x = y" if "=" in bold[1] else bold[1], text)
    text = re.sub(r"`[^`]*`|<[^>]+>|\]\([^)]*\)|\{[^}]*\}", " ", text)
    return re.sub(r"(?m)^\s*(?:[-+*]|\d+\.|:)\s+", "\n\n", text)


@pytest.mark.parametrize("module", MODULES)
def test_each_module_has_its_parts_under_the_same_headings_in_the_same_order(module: str) -> None:
    headings = re.findall(r"(?m)^## (.+)$", MODULES[module].read_text(encoding="utf-8"))
    assert headings == PARTS


@pytest.mark.parametrize(("module", "following"), [*pairwise(bank().modules)])
def test_each_module_hands_over_to_the_one_that_follows(module: str, following: str) -> None:
    said = re.search(rf"(?s)## {NEXT}\n(.*?)\n## ", MODULES[module].read_text(encoding="utf-8"))
    assert said
    title = " ".join(bank().modules[following].title.split())
    assert f"[{title}]({MODULES[following].name})" in " ".join(said[1].split())


def test_the_last_module_leads_on_to_fault_tracing() -> None:
    last = MODULES[list(bank().modules)[-1]].read_text(encoding="utf-8")
    assert "(tracing.md)" in last.partition(f"## {NEXT}")[2]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_way_to_a_module_bears_its_name(page: Path) -> None:
    """Under another name a learner looks for a module that is not there. Only the stop list has a name of its own."""
    titles = {MODULES[module.id].name: module.title for module in bank().modules.values()}
    links = re.findall(r"\[([^\]]+)\]\((?:\.\./)?([a-z-]+\.md)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))
    named = [(" ".join(text.split()), uri) for text, uri in links if uri in titles and text != "stop list"]
    assert [(text, uri) for text, uri in named if text.lower() != titles[uri].lower()] == []


@pytest.mark.parametrize("page", MODULES.values(), ids=MODULES)
def test_what_you_need_first_stands_in_the_order_of_the_course(page: Path) -> None:
    said = re.search(r"(?s)## What you need first\n(.*?)\n## ", page.read_text(encoding="utf-8"))
    assert said
    order = [path.name for path in map(MODULES.__getitem__, bank().modules)]
    before = order[: order.index(page.name)]
    linked = [
        uri for uri in re.findall(r"\]\(([a-z-]+\.md)\)", said[1].partition("\nHow they work")[0]) if uri in order
    ]
    needed = [MODULES[need].name for need in bank().modules[next(m for m in MODULES if MODULES[m] == page)].needs]
    assert needed == [uri for uri in order if uri in needed]
    assert set(linked) <= set(before)


@pytest.mark.parametrize("module", MODULES)
def test_each_worked_example_asks_to_cover_the_lines_and_each_page_ends_with_the_law(module: str) -> None:
    text = " ".join(MODULES[module].read_text(encoding="utf-8").split())
    assert "Cover the lines below the one you read" in text
    assert text.endswith(ENDING)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_prose_has_curly_quotes_and_the_signs_of_the_formulas(page: Path) -> None:
    """One hand: “so”, a middle dot for times, a slash for divided by, thin gaps and no commas in large numbers."""
    text = running_text(page)
    assert re.findall(r".{0,30}\"[^\"]*\"?", text) == []
    assert re.findall(r".{0,20}÷.{0,10}|\d,\d{3}\b| — |\w - \w", text) == []


@pytest.mark.parametrize("module", MODULES)
def test_no_sentence_of_a_module_is_longer_than_a_breath(module: str) -> None:
    """About 25 words; list items and formulas end a thought."""
    sentences = re.split(r"(?<=[.!?:;])[*”)]*\s+|\n\s*\n", running_text(MODULES[module]))
    long = [" ".join(one.split()) for one in sentences if len(re.findall(r"[^\W\d_]+(?:['’-][^\W\d_]+)*", one)) > 27]
    assert long == []


@pytest.mark.parametrize("module", MODULES)
def test_the_cells_of_a_table_of_mistakes_begin_small(module: str) -> None:
    """A cell is no sentence. A name, a symbol or a short form keeps its capital."""
    table = MODULES[module].read_text(encoding="utf-8").partition("## Usual mistakes and why")[2].partition("\n## ")[0]
    rows = [line for line in re.findall(r"(?m)^\| (.+) \|$", table) if not line.startswith(("Mistake |", "Said |"))]
    begun = [cell for row in rows for cell in row.split(" | ") if re.match(r"“?[A-Z][a-z]", cell)]
    assert rows
    assert begun == []


def test_the_decision_in_numbers_on_the_page_of_fault_tracing_is_worked_out_right() -> None:
    """Four and eight equal suspects: a look at one takes 4 minutes, a test that halves them takes 10."""

    def one_by_one(suspects: int) -> float:
        # The last two are told apart by one test.
        return sum(4 * min(place, suspects - 1) for place in range(1, suspects + 1)) / suspects

    text = " ".join((COURSE / "pages" / "tracing.md").read_text(encoding="utf-8").split())
    assert f"on average {one_by_one(4):g}." in text and "20 in all" in text
    assert f"/ 8 = {one_by_one(8):g}." in text and f"A takes {10 * 3}." in text
