"""An analysis in words for the console, as rows for a spreadsheet, and as data."""

from __future__ import annotations

import csv
import io
from dataclasses import asdict
from typing import Any

from quizgen.cohort.analyse import UNLIKELY, Analysis, Item

RECORDS = "These numbers judge questions, not people. A pair of like answers is a reason to ask, never a proof."
HEADS = (
    "plan", "question", "section", "must be right", "asked", "right", "interval low", "interval high", "facility",
    "left empty", "rest correlation", "p of variants", "most frequent wrong answer", "how often", "flags",
)  # fmt: skip
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


def lines(one: Analysis) -> list[str]:
    made = [f"{one.title} ({one.plan}): {one.people} persons, {one.passed} passed, {one.pass_mark} of {one.of} needed."]
    made += [f"  {note}" for note in one.notes]
    made += [f"  {line}" for line in whole_lines(one)]
    for item in sorted(one.items, key=lambda item: item.facility):
        made.append(f"  {item.id}: {counted(item)}")
        made += [f"      {wrong.count} x {wrong.says}" for wrong in item.wrong[:3]]
        made += [f"    ! {flag}" for flag in item.flags]
    return made


def counted(item: Item) -> str:
    rest = "" if item.rest is None else f", with the rest {rest_text(item.rest)}"
    empty = f", {item.blank} left it empty" if item.blank else ""
    return f"{item.right} of {item.asked} right (at 95 %: {span(item.interval)}){empty}{rest}"


def span(interval: tuple[float, float]) -> str:
    """A range of shares as a reader of tables writes it."""
    low, high = interval
    return f"{100 * low:.0f}\u00a0% to {100 * high:.0f}\u00a0%"


def rest_text(value: float) -> str:
    """Two decimals, and no minus in front of a zero."""
    return f"{round(value, 2) + 0.0:.2f}"


def whole_lines(one: Analysis) -> list[str]:
    """Reliability, pools and pairs, each with what it means."""
    made = []
    if whole := one.whole:
        made.append(f"Mean {whole.mean:.1f} marks, standard deviation {whole.deviation:.1f}.")
        if whole.alpha is not None:
            low, high = whole.interval
            made.append(f"Reliability (alpha) {whole.alpha:.2f}, 95 %: {low:.2f} to {high:.2f}.")
        if whole.error is not None:
            made.append(f"Standard error {whole.error:.1f} marks: a mark nearer to the pass mark than that is open.")
        if whole.squared is not None and whole.dependability is not None:
            made.append(f"At the pass mark: K² {whole.squared:.2f}, Phi {whole.dependability:.2f}. These two count "
                        "for pass or fail; alpha is low where nearly all pass.")  # fmt: skip
    for pool in one.pools:
        if pool.p < UNLIKELY:
            shares = ", ".join(f"{id} {100 * share:.0f}\u00a0%" for id, share in pool.facilities.items())
            made.append(f"! {pool.section}: its questions are not equally hard ({shares}): papers draw unequal ones.")
    for pair in one.pairs:
        made.append(f"! {pair.one} and {pair.other}: {pair_text(pair.values, pair.choices)}. Ask both how they worked.")
    return made


def pair_text(values: tuple[str, ...], choices: tuple[str, ...]) -> str:
    found = []
    if values:
        found.append(f"wrong values that belong to the other's paper in {', '.join(values)}")
    if choices:
        found.append(f"the same wrong choice in {', '.join(choices)}")
    return "; ".join(found)


def table(all_: list[Analysis]) -> str:
    """CSV, one line a question."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    for one in all_:
        for item in one.items:
            first = item.wrong[0] if item.wrong else None
            writer.writerow([cell(value) for value in (
                one.plan, item.id, item.section, "yes" if item.must else "no", item.asked, item.right,
                f"{item.interval[0]:.4f}", f"{item.interval[1]:.4f}", f"{item.facility:.4f}", item.blank,
                _maybe(item.rest), _maybe(item.variants), first.says if first else "", first.count if first else 0,
                " ".join(item.flags),
            )])  # fmt: skip
    return out.getvalue()


def _maybe(value: float | None) -> Any:
    return "" if value is None else round(value, 4)


def cell(value: Any) -> Any:
    """A text that a spreadsheet would take for a formula gets an apostrophe in front."""
    return f"'{value}" if isinstance(value, str) and value.startswith(FORMULA_SIGNS) else value


def data(all_: list[Analysis]) -> dict[str, Any]:
    return {"v": 1, "kind": "analysis", "plans": [asdict(one) for one in all_], "note": RECORDS}
