"""Weights of the page and the time of a judgement in it."""

from __future__ import annotations

import gzip
import tempfile
from pathlib import Path

from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.variants.compile import compile_bank
from quizgen.web.payload import template_html
from quizgen.web.question_html import question_html
from tests.bench.row import Row

ROOT = Path(__file__).parents[2]
KILOBYTES = 1000


def packed(*texts: str) -> int:
    return sum(len(gzip.compress(text.encode(), 9, mtime=0)) for text in texts)


def rows() -> list[Row]:
    return [_assets(), _page(), *_tracing(), _judging()]


def _assets() -> Row:
    """What a page of questions loads of ours against the theme's own, its search worker left out."""
    from tests.browser.conftest import built

    with tempfile.TemporaryDirectory() as name:
        assets = built(ROOT, Path(name)) / "assets" / "quizgen"
        ours = packed(*(file.read_text(encoding="utf-8") for file in assets.glob("practice.*")))
        later = packed(*(file.read_text(encoding="utf-8") for file in assets.glob("more.*")))
    against = _theirs()
    return Row("our script and style ÷ a quarter of the theme's", ours / (against / 4), 1.0,
               f"{ours / KILOBYTES:.1f} KB against {against / KILOBYTES:.1f} KB, gzip; on first use "
               f"{later / KILOBYTES:.1f} KB more")  # fmt: skip


def _theirs() -> int:
    """The theme's own script and style, its search worker left out."""
    import material

    theme = Path(material.__file__).parent / "templates" / "assets"
    files = [*theme.glob("javascripts/bundle.*.min.js"), *theme.glob("stylesheets/*.min.css")]
    return packed(*(file.read_text(encoding="utf-8") for file in files))


def _page() -> Row:
    """Ten questions with all their variants against the same ten with one static variant, in KB of 20."""
    bank = load_bank(ROOT / "course")
    compiled, _ = compile_bank(bank, Cache(None))
    ten = [one for one in compiled if one["kind"] == "numeric" and len(one["variants"]) == 24][:10]
    static = "".join(question_html(one, n) for n, one in enumerate(ten, 1))
    full = static + "".join(template_html(one) for one in ten)
    more = packed(full) - packed(static)
    return Row("page of 10 questions × 24 variants, more than static ÷ 20 KB", more / (20 * KILOBYTES), 1.0,
               f"{more / KILOBYTES:.1f} KB more, gzip")  # fmt: skip


def _tracing() -> list[Row]:
    """The largest case's data against 30 KB, and what the script of fault tracing adds to its pages."""
    from quizgen.site.cases import cases_of
    from quizgen.web.bundle import extra

    largest = max(packed(text) for text in cases_of(load_bank(ROOT / "course"), Cache(None)).data.values())
    script, against = packed(extra("trace").content), _theirs()
    return [
        Row("largest case of fault tracing ÷ 30 KB", largest / (30 * KILOBYTES), 1.0,
            f"{largest / KILOBYTES:.1f} KB, gzip"),
        Row("script of fault tracing ÷ an eighth of the theme's", script / (against / 8), 1.0,
            f"{script / KILOBYTES:.1f} KB against {against / KILOBYTES:.1f} KB, gzip"),
    ]  # fmt: skip


def _judging() -> Row:
    """Seconds of one judgement in a real browser against 16 ms, median over the keys of all shipped variants."""
    from playwright.sync_api import sync_playwright

    from tests.browser.conftest import ARGUMENTS, program
    from tests.browser.judging import open_judge

    bank = load_bank(ROOT / "course")
    compiled, _ = compile_bank(bank, Cache(None))
    cases = [
        [one["steps"][0], variant["answers"][0], variant["answers"][0]["shown"] + "7"]
        for one in compiled
        for variant in one.get("variants", ())
        if "key" in variant["answers"][0]
    ]
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as name:
        browser = playwright.chromium.launch(executable_path=program(), args=ARGUMENTS)
        page = browser.new_page()
        open_judge(page, Path(name), bank.units)
        milliseconds = page.evaluate(TIMED, cases)
        browser.close()
    return Row("judging an answer in the page ÷ 16 ms", milliseconds / 16, 1.0, f"{milliseconds:.3f} ms")


# The page's clock is coarse: each judgement is repeated until there is something to read.
TIMED = """(cases) => {
  const times = cases.slice(0, 200).map(([step, answer, typed]) => {
    const start = performance.now();
    for (let k = 0; k < 500; k++) room.judge(step, answer, {}, typed, {}, {});
    return (performance.now() - start) / 500;
  });
  return times.sort((a, b) => a - b)[Math.floor(times.length / 2)];
}"""
