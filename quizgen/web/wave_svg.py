"""A wave as a drawing: plots above each other on one axis, curves told apart by their strokes and named below."""

from __future__ import annotations

import math
from collections.abc import Iterable

from quizgen.expression.writing import spaced
from quizgen.variants.wave import DrawnCurve, DrawnPlot, Wave
from quizgen.web.drawn_text import figure_html, plain, text_svg
from quizgen.web.lettering import width_of

WIDE, LEFT, RIGHT, HIGH = 328.0, 44.0, 12.0, 132.0
SMALL = 12.0
_STROKES = {"solid": "", "dashed": "8 4", "dotted": "1.5 4", "dash-dot": "9 3 1.5 3"}


def wave_html(wave: Wave) -> str:
    """The figure of a wave, 328 wide."""
    body, top = "", 0.0
    for at, plot in enumerate(wave.plots):
        drawn, top = _plot(wave, plot, top, at == len(wave.plots) - 1)
        body += drawn
    return figure_html(wave.id, wave.title, wave.says, wave.caption, WIDE, top, body)


def _plot(wave: Wave, plot: DrawnPlot, top: float, last: bool) -> tuple[str, float]:
    """One plot from `top` downwards, and where it ends."""
    low, high, step = _span(plot)
    above, below = top + 22, top + 22 + HIGH

    def x(value: float) -> float:
        return LEFT + (value - wave.first) / (wave.last - wave.first) * (WIDE - LEFT - RIGHT)

    def y(value: float) -> float:
        return below - (value - low) / (high - low) * HIGH

    made = text_svg(2, top + 13, _axis(plot.axis, plot.unit), size=SMALL)
    grid = ""
    for tick in _ticks(low, high, step):
        grid += f"M{LEFT:g} {y(tick):.1f}H{WIDE - RIGHT:g}"
        made += text_svg(LEFT - 5, y(tick) + 4, _number(tick, step), "end", SMALL)
    wide_step = _step(wave.last - wave.first, 6)
    for tick in _ticks(wave.first, wave.last, wide_step):
        grid += f"M{x(tick):.1f} {below:.1f}V{above:.1f}"
        if last:
            made += text_svg(x(tick), below + 16, _number(tick, wide_step), "middle", SMALL)
    zero = y(0) if low <= 0 <= high else below
    axes = f"M{LEFT:g} {above - 4:.1f}V{below:.1f}M{LEFT:g} {zero:.1f}H{WIDE - RIGHT:g}"
    made = f'<path class="qz-grid" d="{grid}"/><path class="qz-axis" d="{axes}"/>{made}'
    for curve in plot.curves:
        made += "".join(_polyline(_thinned([(x(a), y(b)) for a, b in piece]), curve.line) for piece in curve.points)
    for mark_x, mark_y, label in plot.marks:
        made += _mark(x(mark_x), y(mark_y), label, above)
    end = below + 6
    if last:
        made += text_svg(WIDE - RIGHT, below + 32, _axis(wave.axis, wave.unit), "end", SMALL)
        end = below + 38
    legend, end = _legend(plot.curves, end)
    return made + legend, end + 6


def _axis(name: str, unit: str) -> str:
    return f"{name} in {unit}" if unit else name


def _polyline(points: Iterable[tuple[float, float]], line: str) -> str:
    dashes = f' stroke-dasharray="{_STROKES[line]}"' if _STROKES[line] else ""
    return f'<polyline class="qz-curve"{dashes} points="{" ".join(f"{a:.1f},{b:.1f}" for a, b in points)}"/>'


def _thinned(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Only the points that are seen: whoever lies on the straight line between kept ones, to a sixth of a unit, goes.

    The method is that of Douglas and Peucker (The Canadian Cartographer 10, 1973; from memory).
    """
    kept, waiting = {0, len(points) - 1}, [(0, len(points) - 1)]
    while waiting:
        a, c = waiting.pop()
        (ax, ay), (cx, cy) = points[a], points[c]
        length = math.hypot(cx - ax, cy - ay) or 1.0
        off = [abs((cx - ax) * (y - ay) - (cy - ay) * (x - ax)) / length for x, y in points[a + 1 : c]]
        if off and max(off) > 0.16:
            b = a + 1 + off.index(max(off))
            kept.add(b)
            waiting += [(a, b), (b, c)]
    return [points[at] for at in sorted(kept)]


def _mark(x: float, y: float, label: str, above: float) -> str:
    wide = width_of(plain(label), SMALL)
    anchor, at = ("end", x - 7) if x + 7 + wide > WIDE - RIGHT else ("start", x + 7)
    up = y - 7 if y > above + 10 else y + 16
    return f'<circle class="qz-full" cx="{x:.1f}" cy="{y:.1f}" r="3.5"/>' + text_svg(at, up, label, anchor, SMALL)


def _legend(curves: tuple[DrawnCurve, ...], top: float) -> tuple[str, float]:
    """A sample of each stroke with its name, in as many rows as it takes."""
    made, x, row = "", 4.0, top + 12
    for curve in curves:
        wide = 34 + width_of(plain(curve.name), SMALL) + 12
        if x > 4 and x + wide > WIDE:
            x, row = 4.0, row + 17
        made += _polyline([(x, row - 4), (x + 28, row - 4)], curve.line)
        made += text_svg(x + 34, row, curve.name, size=SMALL)
        x += wide
    return made, row + 4


def _span(plot: DrawnPlot) -> tuple[float, float, float]:
    """The ends of the upward axis and the step of its ticks; zero belongs to it unless the author set the ends."""
    values = [b for curve in plot.curves for piece in curve.points for _, b in piece]
    low = min(0.0, *values) if plot.low is None else plot.low
    high = max(0.0, *values) if plot.high is None else plot.high
    step = _step((high - low) or 1.0, 5)
    if plot.low is None or plot.high is None:
        low, high = math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step
    return low, max(high, low + step), step


def _step(span: float, most: int) -> float:
    """A step of 1, 2 or 5 times a power of ten that divides the span into at most so many parts."""
    power = 10.0 ** math.floor(math.log10(span / most))
    return next(power * times for times in (1, 2, 5, 10) if span / (power * times) <= most + 1e-9)


def _ticks(low: float, high: float, step: float) -> list[float]:
    first = math.ceil(low / step - 1e-6)
    return [at * step for at in range(first, math.floor(high / step + 1e-6) + 1)]


def _number(value: float, step: float) -> str:
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return spaced(f"{value + 0.0:.{decimals}f}")
