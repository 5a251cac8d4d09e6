"""The chain as a map: every stage with its name, what it hands on, and the way to the module that teaches it.

The map is drawn twice, in one column for narrow pages and in two for wide ones; the style sheet shows
one of them. The strip is the small one on a module's page, with the stages of that module marked.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from html import escape

from quizgen.bank.models import Chain, Module, Stage
from quizgen.web.bundle import page_style
from quizgen.web.lettering import lines_of

BOX, BESIDE, GAP, HIGH, STEP, HEAD = 190, 100, 14, 54, 88, 22
COLUMN = BOX + GAP + BESIDE
BETWEEN, FOOT = 28, 24
SPACE = 30
"""From one station of the strip to the next."""


@dataclass(frozen=True, slots=True)
class Way:
    """What the map knows of a module: its code, how many questions it has on pages, its page's address or ""."""

    code: str
    questions: int
    address: str


def main_stages(chain: Chain) -> list[Stage]:
    return [stage for stage in chain.stages.values() if not stage.beside]


Draw = Callable[[Stage, str, float, float, float], str]
"""A stage's box: the stage, its number with a space (or ""), left, top and width."""


def map_html(chain: Chain, way: Callable[[str], Way]) -> str:
    """The map of the whole chain; `way` tells of each module by its id."""
    stages = main_stages(chain)
    half = (len(stages) + 1) // 2
    box = partial(_box, way=way)
    drawn = drawing(chain, [stages], box, "qz-map-narrow") + drawing(
        chain, [part for part in (stages[:half], stages[half:]) if part], box, "qz-map-wide"
    )
    style = f"<style>{page_style('map')}</style>"
    return f'<nav class="qz-map" aria-label="Map of the chain" data-search-exclude>{style}{drawn}</nav>'


def drawing(
    chain: Chain, columns: list[list[Stage]], box: Draw, kind: str, step: float = STEP, above: str = "", room: float = 0
) -> str:
    """The chain in columns, `step` from one stage to the next; `above`: what stands over it, `room` high."""
    beside = {stage.beside: stage for stage in chain.stages.values() if stage.beside}
    tall = max(len(column) for column in columns) * step - step + HIGH + 2 + (HEAD + FOOT) * (len(columns) > 1) + room
    wide = len(columns) * COLUMN + (len(columns) - 1) * BETWEEN
    made, number, top = above, 0, (HEAD if len(columns) > 1 else 1) + room
    for at, column in enumerate(columns):
        left = at * (COLUMN + BETWEEN)
        for row, stage in enumerate(column):
            number += 1
            y = top + row * step
            last = row == len(column) - 1
            if not last:
                made += _arrow(left + BOX / 2, y + HIGH, step - HIGH, stage.gives)
            elif at < len(columns) - 1:
                made += _over(left, y + HIGH, tall, stage.gives)
            made += box(stage, f"{number} ", left, y, BOX)
            if stage.id in beside:
                made += f'<path class="qz-map-tie" d="M{left + BOX} {y + HIGH // 2}h{GAP}"/>'
                made += box(beside[stage.id], "", left + BOX + GAP, y, BESIDE)
    return f'<svg class="{kind}" viewBox="-1 0 {wide + 2} {tall:g}" width="{wide + 2}" height="{tall:g}">{made}</svg>'


def _arrow(x: float, y: float, length: float, gives: str) -> str:
    said = f'<text x="{x + 12:g}" y="{y + length / 2 + 4:g}">{escape(gives)}</text>' if gives else ""
    return f'<path class="qz-map-way" d="M{x:g} {y:g}v{length - 1:g}m-5 -8l5 8l5 -8"/>{said}'


def _over(left: float, y: float, tall: float, gives: str) -> str:
    """From the foot of a column over to the head of the next."""
    middle = left + COLUMN + BETWEEN / 2
    x, end = left + BOX / 2, left + COLUMN + BETWEEN + BOX / 2
    said = f'<text x="{x + 12:g}" y="{tall - 8:g}">{escape(gives)}</text>' if gives else ""
    line = f"M{x:g} {y:g}V{tall - 3:g}H{middle:g}V4H{end:g}V{HEAD - 1}m-5 -8l5 8l5 -8"
    return f'<path class="qz-map-way" d="{line}"/>{said}'


def _box(stage: Stage, number: str, x: float, y: float, wide: float, way: Callable[[str], Way]) -> str:
    module = stage.modules[0] if stage.modules else ""
    known = way(module)
    names = names_of(number, stage.name, x, y, wide)
    count = f"{known.questions} question{'' if known.questions == 1 else 's'}"
    code = f'<tspan class="qz-map-code">{escape(known.code)} </tspan>' if number else ""
    tally = f'<text x="{x + 8:g}" y="{y + 47:g}">{code}</text>'
    if known.questions:
        square = f'x="{x + 8:g}" y="{y + 37.5:g}" width="10" height="10"'
        tally = (
            f'<g class="qz-map-state"><rect {square}/><rect class="qz-map-full" {square}/></g>'
            f'<text x="{x + 24:g}" y="{y + 47:g}">{code}<tspan class="qz-map-tally">{count}</tspan></text>'
        )
    frame = f'<rect class="qz-map-box" x="{x:g}" y="{y:g}" width="{wide:g}" height="{HIGH}"/>'
    inner = f"{frame}{names}{tally}"
    label = escape(f"{number}{stage.name}. {stage.does} {known.code}, {count}")
    if not known.address:
        return f'<g role="img" aria-label="{label}" data-module="{escape(module)}">{inner}</g>'
    return (
        f'<a href="{escape(known.address)}" aria-label="{label}" data-label="{label}" '
        f'data-module="{escape(module)}"><title>{escape(stage.does)}</title>{inner}</a>'
    )


def names_of(number: str, name: str, x: float, y: float, wide: float) -> str:
    """The name of a box in at most two lines."""
    size = 13.5 if number else 12.5
    lines = lines_of(number + name, size, wide - 14)[:2]
    first = y + (22 if len(lines) == 1 else 16)
    return "".join(
        f'<text class="qz-map-name" font-size="{size}" x="{x + 8:g}" y="{first + at * 15:g}">{escape(line)}</text>'
        for at, line in enumerate(lines)
    )


def strip_html(chain: Chain, module: Module, way: Callable[[str], Way]) -> str:
    """Where a module stands in the chain: one station a stage, the module's own ones marked and named."""
    stages = main_stages(chain)
    over = module.id in chain.whole
    here = [] if over else [stage for stage in chain.stages.values() if module.id in stage.modules]
    marked = {stage.beside or stage.id: bool(stage.beside) for stage in reversed(here)}
    made = f'<path class="qz-map-way" d="M{SPACE / 2:g} 16H{SPACE * (len(stages) - 0.5):g}"/>'
    for at, stage in enumerate(stages):
        made += _station(stage, at, marked.get(stage.id), way)
    wide = SPACE * len(stages)
    drawn = f'<svg viewBox="0 0 {wide} 34" width="{wide}" height="34">{made}</svg>'
    said = f"<p>{_said(chain, here)}</p>"
    return f'<nav class="qz-here" aria-label="Where you are in the chain" data-search-exclude>{drawn}{said}</nav>'


def _station(stage: Stage, at: int, marked: bool | None, way: Callable[[str], Way]) -> str:
    x = SPACE * (at + 0.5)
    target = f'<rect class="qz-map-touch" x="{x - SPACE / 2:g}" y="0" width="{SPACE}" height="34"/>'
    if marked is None:
        shape = f'<circle cx="{x:g}" cy="16" r="5"/>'
    elif marked:  # the module stands beside this stage
        shape = f'<circle cx="{x:g}" cy="16" r="5"/><path d="M{x:g} 21v3"/>'
        shape += f'<rect class="qz-map-full" x="{x - 5:g}" y="23" width="10" height="10"/>'
    else:
        shape = f'<rect class="qz-map-full" x="{x - 8:g}" y="8" width="16" height="16"/>'
    address = way(stage.modules[0]).address if stage.modules else ""
    label = escape(f"{at + 1} {stage.name}")
    current = ' aria-current="location"' if marked is False else ""
    if not address:
        return f'<g role="img" aria-label="{label}">{target}{shape}</g>'
    return f'<a href="{escape(address)}" aria-label="{label}"{current}><title>{label}</title>{target}{shape}</a>'


def _said(chain: Chain, here: list[Stage]) -> str:
    stages = [stage.id for stage in main_stages(chain)]
    if not here:
        return f"For the whole chain, from stage 1 to stage {len(stages)}."
    named = []
    for stage in here:
        at = stages.index(stage.beside or stage.id) + 1
        where = f"beside stage {at}" if stage.beside else f"stage {at} of {len(stages)}"
        named.append(f"<strong>{escape(stage.name)}</strong>, {where}")
    return f"You are here: {'; '.join(named)}."


def ways(
    modules: Mapping[str, Module], questions: Mapping[str, int], address: Callable[[str], str]
) -> Callable[[str], Way]:
    """The way to each module: its code, its count of questions, its page."""
    known = {id: Way(module.code, questions.get(id, 0), address(id)) for id, module in modules.items()}
    return lambda id: known.get(id, Way("", 0, ""))
