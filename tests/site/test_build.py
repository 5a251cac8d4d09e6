"""A course becomes a static site: pages, reference, both kinds of addresses, nothing that gives keys away."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest
from mkdocs.exceptions import PluginError

from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.variants.compile import compile_bank

PUMP = Path(__file__).parents[1] / "courses" / "pump"
Build = Callable[..., Path]

TWO = "# Home\n\n```practice\nfill-the-tank\npower-of-the-pump\n```\n"


class Visible(HTMLParser):
    """All text and attributes outside templates and scripts, and the tags that were met."""

    def __init__(self) -> None:
        super().__init__()
        self.text, self.tags, self.inside = "", set[str](), 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.inside += tag in ("template", "script")
        if not self.inside:
            self.text += " ".join(value or "" for _, value in attrs) + "\n"

    def handle_endtag(self, tag: str) -> None:
        self.inside -= tag in ("template", "script")

    def handle_data(self, data: str) -> None:
        if not self.inside:
            self.text += data


def visible(page: Path) -> Visible:
    reader = Visible()
    reader.feed(page.read_text(encoding="utf-8"))
    return reader


@pytest.mark.parametrize("directories", [True, False])
@pytest.mark.parametrize("address", ["", "http://shop.test/", "http://shop.test/course/"])
def test_a_strict_build_has_questions_and_reference_in_every_kind_of_address(
    build: Build, directories: bool, address: str
) -> None:
    site = build(use_directory_urls=directories, site_url=address)
    home = (site / "index.html").read_text(encoding="utf-8")
    assert home.count('<section class="qz"') == 2
    sheet = site / ("reference/formulas/index.html" if directories else "reference/formulas.html")
    assert "Power given to the water" in sheet.read_text(encoding="utf-8")
    script = re.search(r'src="((?:\.\./)*assets/quizgen/practice\.[0-9a-f]{8}\.js)"', home)
    assert script and (site / script.group(1)).is_file()


def test_a_page_without_a_script_has_the_text_the_numbers_and_a_labelled_field(build: Build) -> None:
    page = visible(build() / "index.html")
    assert "A pump moves" in page.text and "18.5\u00a0L/min" in page.text
    assert "How long does it take to fill?" in page.text
    assert "input" in page.tags and "label" in page.tags


def test_a_number_that_an_author_typed_keeps_its_unit_on_the_line(build: Build) -> None:
    site = build({"index.md": TWO + "\nAt 230 V it takes `5 A`.\n"})
    assert "At 230\u00a0V it takes <code>5 A</code>." in (site / "index.html").read_text(encoding="utf-8")


def test_no_key_and_no_slip_stands_in_the_page_or_in_the_search_index(build: Build) -> None:
    site = build({"index.md": TWO})
    compiled, _ = compile_bank(load_bank(PUMP), Cache(None))
    index = (site / "search" / "search_index.json").read_text(encoding="utf-8")
    shown = visible(site / "index.html").text
    for question in compiled:
        for variant in question["variants"]:
            for step, answer in zip(question["steps"], variant["answers"], strict=True):
                key = f"{answer['shown']}\u00a0{step['unit']}"
                assert key not in shown and key not in index
        for step in question["steps"]:
            for slip in step["slips"]:
                assert slip["says"] not in shown and slip["says"] not in index


def test_a_question_for_papers_only_never_reaches_the_site(build: Build) -> None:
    change = (("ask: What power does the water get?\n", "ask: What power does the water get?\n    papers: only\n"),)
    with pytest.raises(PluginError, match=r"index.md:5: question \"power-of-the-pump\" is for papers only"):
        build({"index.md": TWO}, bank=change)
    site = build({"index.md": "# Home\n\n```practice\nfill-the-tank\n```\n"}, name="two", bank=change)
    assert all(
        "power-of-the-pump" not in file.read_text(encoding="utf-8", errors="ignore")
        for file in site.rglob("*")
        if file.suffix in (".html", ".js", ".json")
    )


def test_no_bank_file_is_copied_into_the_site(build: Build) -> None:
    site = build()
    assert not [file for file in site.rglob("*") if file.suffix in (".yml", ".yaml", ".csv")]


@pytest.mark.parametrize(
    ("page", "said"),
    [
        ("# A\n\n```practice\nfil-the-tank\n```\n", r"index.md:4: \"fil-the-tank\" is no question .*Did you mean fill"),
        ("# A\n\n```practice\nfill-the-tank\nfill-the-tank\n```\n", r"index.md:4: question .* stands twice"),
        ("# A\n\n```practice\n```\n", r"index.md:3: an empty practice block"),
        ("# A\n\n1. One\n\n  ```practice\n  fill-the-tank\n  ```\n\n   x\n", None),
        ("---\ntitle: x\n---\n\n# A\n\n```practice\nnope\n```\n", 'index.md:8: "nope" is no question'),
        ("# A\n\n```practice\nfill-the-tank\n", "index.md:3: this practice block does not reach the page"),
    ],
)
def test_a_faulty_practice_block_stops_the_build_with_page_and_line(build: Build, page: str, said: str | None) -> None:
    if said is None:
        site = build({"index.md": page})
        assert '<section class="qz"' in (site / "index.html").read_text(encoding="utf-8")
        return
    with pytest.raises(PluginError, match=said):
        build({"index.md": page})


def test_one_question_stands_on_one_page_only(build: Build) -> None:
    with pytest.raises(PluginError, match="stands twice"):
        build({"other.md": "# Other\n\n```practice\nfill-the-tank\n```\n"})


def test_a_practice_block_works_inside_lists_boxes_and_quotes(build: Build) -> None:
    page = (
        "# A\n\n1. One\n\n    ```practice\n    fill-the-tank\n    ```\n\n"
        "!!! note\n\n    ```practice\n    power-of-the-pump\n    ```\n\n"
        "````text\n```practice\nnot-a-question\n```\n````\n"
    )
    site = build({"index.md": page}, markdown_extensions=["admonition", "pymdownx.superfences"])
    html = (site / "index.html").read_text(encoding="utf-8")
    assert html.count('<section class="qz"') == 2 and "not-a-question" in html


def test_one_fault_is_told_as_one(build: Build) -> None:
    with pytest.raises(PluginError, match="^1 fault in the bank, listed above$"):
        build(bank=(("unit: L/min", "unit: l/mn"),))


def test_a_faulty_bank_stops_the_build_and_names_every_fault(build: Build, caplog: pytest.LogCaptureFixture) -> None:
    with pytest.raises(PluginError, match="3 faults in the bank"):
        build(bank=(("unit: L/min", "unit: l/mn"), ("by: filling-time", "by: filing-time")))
    lines = [record.getMessage() for record in caplog.records]
    assert any(re.search(r"bank/course\.yml:\d+:\d+: Q_v: .*no unit", line) for line in lines)
    assert any(re.search(r"fill-the-tank: .*Did you mean filling-time\?", line) for line in lines)


HOSTILE = '<x-evil onload=alert(1)>"&amp; </template><script>alert(1)</script>'


def test_markup_in_every_text_of_the_bank_stays_text(build: Build) -> None:
    site = build(
        bank=(
            ("title: A small pump", f"title: A small pump '{HOSTILE}'"),
            ("title: Flow and power", f"title: Flow and power '{HOSTILE}'"),
            ("name: volume flow", f"name: volume flow '{HOSTILE}'"),
            ("title: Time to fill a tank", f"title: Time to fill a tank '{HOSTILE}'"),
            ("You divided flow by volume.", f"You divided flow by volume. {HOSTILE}"),
            ("A pump moves (Q_v) into", f"A pump {HOSTILE} moves (Q_v) into"),
            ("ask: How long does", f"ask: {HOSTILE} How long does"),
            ("symbol: p_d", "symbol: p_d"),
        )
    )
    for page in site.rglob("*.html"):
        seen = visible(page)
        assert "x-evil" not in seen.tags, page
        html = page.read_text(encoding="utf-8")
        assert "<script>alert(1)" not in html and "<x-evil" not in html
    assert "<x-evil" in visible(site / "index.html").text


def test_markdown_never_touches_the_bank_s_text(build: Build) -> None:
    """Traps: (c) became ©, 1/2 became ½, and a line starting with "230. " became a list."""
    text = "A pump moves (Q_v) into a *tank* (c) 1/2 +/- _x_\n      230. V_t of (V_t)"
    site = build(
        bank=(("A pump moves (Q_v) into an empty tank of (V_t)", text),),
        markdown_extensions=["pymdownx.superfences", "pymdownx.smartsymbols"],
    )
    assert "into a *tank* (c) 1/2 +/- _x_ 230. V_t of" in visible(site / "index.html").text


def test_two_builds_are_the_same_byte_for_byte(build: Build) -> None:
    first, second = build(name="first"), build(name="second")
    files = sorted(file.relative_to(first) for file in first.rglob("*") if file.is_file())
    assert files == sorted(file.relative_to(second) for file in second.rglob("*") if file.is_file())
    different = [name for name in files if (first / name).read_bytes() != (second / name).read_bytes()]
    assert [name for name in different if not name.name.startswith("sitemap")] == []


def test_a_warm_build_loads_neither_numpy_nor_pint(tmp_path: Path) -> None:
    import shutil

    folder = tmp_path / "pump"
    shutil.copytree(PUMP, folder, ignore=shutil.ignore_patterns(".cache"))
    program = (
        "import sys; from mkdocs.config import load_config; from mkdocs.commands.build import build\n"
        "config = load_config('mkdocs.yml', site_dir='site'); config.plugins.on_startup(command='build', dirty=False)\n"
        "build(config); print('LOADED', sorted({'numpy', 'pint', 'sympy'} & set(sys.modules)))"
    )
    said = []
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", program], cwd=folder, capture_output=True, text=True, check=True, encoding="utf-8"
        )
        said.append(done.stdout.strip().splitlines()[-1])
    assert said == ["LOADED ['numpy']", "LOADED []"]


def test_the_bank_s_version_changes_the_script_s_name_and_nothing_else_does(build: Build) -> None:
    def script(site: Path) -> str:
        return next(file.name for file in (site / "assets" / "quizgen").glob("practice.*.js"))

    same = script(build(name="a")), script(build(name="b"))
    other = script(build(name="c", bank=(("into an empty tank", "into a dry tank"),)))
    assert same[0] == same[1] != other


def test_numbers_in_prose_and_worked_examples_are_computed(build: Build) -> None:
    page = visible(build() / "index.html").text
    assert "fills\n300\u00a0L in 20.0\u00a0min, which is 0.333\u00a0h" in page
    joined = page.replace("\n", "")  # a symbol and its index are two elements
    assert "tf = 300\u00a0L\u00a0/ (15\u00a0L/min)" in joined and "Ph = 50.0\u00a0W" in joined


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("show garden-tnk Q_v", r'index.md:7: "garden-tnk" is no example .*Did you mean garden-tank\?'),
        ("show garden-tank Q_w", r'index.md:7: example garden-tank has no "Q_w"'),
        ("show garden-tank Q_v in kW", r"index.md:7: .*Q_v is measured in L/min"),
        ("show garden-tank", r"index.md:7: .*expected `show EXAMPLE QUANTITY`"),
    ],
)
def test_a_wrong_name_or_unit_in_prose_fails_the_build_with_page_and_line(build: Build, code: str, said: str) -> None:
    with pytest.raises(PluginError, match=said):
        build({"index.md": f"---\ntitle: Home\n---\n\n# Home\n\nA flow of `{code}`.\n"})


def test_code_in_fences_is_left_alone(build: Build) -> None:
    site = build({"index.md": "# Home\n\n```text\n`show garden-tank Q_v`\n```\n"})
    assert "show garden-tank Q_v" in visible(site / "index.html").text
