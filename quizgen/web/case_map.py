"""The chain with its test points: each stage leads to the tests that can be made there.

Drawn as the map of the chain is. A ring is a test point; on paper its number stands there instead. The
script fills rings of tests that were made, and says in a box how its parts are marked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from html import escape

from quizgen.bank.models import Chain, Stage
from quizgen.web.chain_map import BESIDE, BOX, GAP, HIGH, drawing, main_stages, names_of

STEP = 72
VAN = "van"
"""Stands for the whole van where a stage is named."""
VAN_NAME = "Whole van"
Points = Mapping[str, Sequence[tuple[int, str]]]
"""By stage: the tests there, each with its number and id."""


def case_map(id: str, chain: Chain, points: Points) -> str:
    """The map of one case; a stage leads to `#case-ID--STAGE`, where its tests stand."""
    van = Stage(VAN, VAN_NAME, "", (), "", "")
    above = _point(van, "", 0, 1, BOX + GAP + BESIDE, id=id, points=points)
    drawn = drawing(
        chain, [main_stages(chain)], partial(_point, id=id, points=points), "qz-points", STEP, above, HIGH + 16
    )
    return f'<nav class="qz-map qz-case-map" aria-label="Test points on the chain" data-search-exclude>{drawn}</nav>'


def _point(stage: Stage, number: str, x: float, y: float, wide: float, *, id: str, points: Points) -> str:
    tests = points.get(stage.id, ())
    rings = "".join(
        f'<circle data-point="{escape(test)}" cx="{x + 13 + at * 12:g}" cy="{y + 43:g}" r="4"/>'
        for at, (_, test) in enumerate(tests)
    )
    numbers = f"No. {', '.join(str(number) for number, _ in tests)}" if tests else "no test"
    inner = (
        f'<rect class="qz-map-box" x="{x:g}" y="{y:g}" width="{wide:g}" height="{HIGH}"/>'
        f"{names_of(number, stage.name, x, y, wide)}{rings}"
        f'<text class="qz-point-numbers" x="{x + 8:g}" y="{y + 47:g}">{numbers}</text>'
        f'<text class="qz-point-mark" x="{x + 14 + len(tests) * 12:g}" y="{y + 47:g}"></text>'
    )
    count = f"{len(tests)} test{'' if len(tests) == 1 else 's'}" if tests else "no test"
    label = escape(f"{number}{stage.name}: {count}")
    named = f'aria-label="{label}" data-label="{label}" data-stage="{escape(stage.id)}"'
    if not tests:
        return f'<g role="img" {named}>{inner}</g>'
    return f'<a href="#case-{escape(id)}--{escape(stage.id)}" {named}>{inner}</a>'
