"""Waves: what the formulas of the bank give over a sweep, as points to draw and as numbers to name.

Every point is worked by the route that carries units, so no library is needed and no formula stands twice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from quizgen.bank.faults import Fault
from quizgen.bank.models import Bank, Curve, Picture, Words
from quizgen.expression.carry import Carried, carry, scale_of
from quizgen.expression.units import Unit
from quizgen.expression.writing import quantity
from quizgen.variants.example import Example, Shown, solved
from quizgen.variants.laws import Law, law_of, second_route

POINTS = 360
"""Steps of a sweep; a drawing 328 wide shows no more."""
_HAIR = 1e-9
"""So far before its end, as a share of the sweep, a curve still has the value it comes from."""

Line = tuple[tuple[float, float], ...]
"""Points counted in the units of the axes."""


@dataclass(frozen=True, slots=True)
class DrawnCurve:
    name: str
    line: str
    points: tuple[Line, ...]
    """Pieces: where the curve has no value it is broken."""


@dataclass(frozen=True, slots=True)
class DrawnPlot:
    axis: str
    unit: str
    low: float | None
    high: float | None
    curves: tuple[DrawnCurve, ...]
    marks: tuple[tuple[float, float, str], ...]


@dataclass(frozen=True, slots=True)
class Wave:
    id: str
    title: str
    says: str
    caption: str
    axis: str
    unit: str
    first: float
    last: float
    plots: tuple[DrawnPlot, ...]


def waves_of(bank: Bank) -> tuple[dict[str, Wave], list[Fault]]:
    """Every wave of the bank, and the faults of those that have no value."""
    made: dict[str, Wave] = {}
    faults: list[Fault] = []
    for id, picture in bank.pictures.items():
        if picture.sums is None:
            continue
        try:
            made[id] = wave_of(bank, picture)
        except (ValueError, ZeroDivisionError, OverflowError) as error:
            faults.append(Fault(picture.place, id, f"the picture has no value: {error}: change its numbers"))
    return made, faults


def wave_of(bank: Bank, picture: Picture) -> Wave:
    """The wave with all its points. Raises ValueError where a curve has no value at all."""
    assert picture.sums is not None and picture.across_unit is not None
    sums = solved(bank, picture.sums)
    unit = picture.across_unit
    xs = [picture.first + (picture.last - picture.first) * at / POINTS for at in range(POINTS + 1)]
    rows = _rows(bank, picture, sums, xs)
    sums = _read(bank, picture, sums, rows)
    hair = _HAIR * (picture.last - picture.first)
    ends = [curve.last for plot in picture.plots for curve in plot.curves if curve.last is not None]
    before = dict(zip(ends, _rows(bank, picture, sums, [min(end, picture.last) - hair for end in ends]), strict=True))
    plots = []
    for plot in picture.plots:
        curves = tuple(
            DrawnCurve(curve.name, curve.line, _pieces(curve, xs, rows, before, unit, plot.unit))
            for curve in plot.curves
            if curve.line != "hidden"
        )
        marks = tuple(
            (_value(sums, mark.x) / float(unit.factor), _value(sums, mark.y) / float(plot.unit.factor),
             said(mark.label, sums))
            for mark in plot.marks
        )  # fmt: skip
        plots.append(DrawnPlot(plot.axis, plot.unit.text, plot.low, plot.high, curves, marks))
    return Wave(
        picture.id, picture.title, said(picture.says, sums), said(picture.caption, sums), picture.across_name,
        unit.text, picture.first / float(unit.factor), picture.last / float(unit.factor), tuple(plots),
    )  # fmt: skip


def values_at(bank: Bank, picture: Picture, x: float) -> dict[str, float]:
    """Every curve of a picture at one point of its sweep, x and values in SI; what has no value there is left out."""
    assert picture.sums is not None
    return _rows(bank, picture, solved(bank, picture.sums), [x])[0]


def _read(bank: Bank, picture: Picture, sums: Example, rows: list[dict[str, float]]) -> Example:
    """The numbers of the picture with those read off its curves."""
    values = dict(sums.values)
    for read in picture.read:
        found = [row[read.curve] for row in rows if read.curve in row]
        if read.way == "at":
            found = [value for name, value in values_at(bank, picture, read.x).items() if name == read.curve]
        if not found:
            raise ValueError(f"{read.curve} has none where {read.name} is read")
        value = min(found) if read.way == "lowest" else max(found)
        text = quantity(value / float(read.unit.factor), read.rounding, read.unit.text)
        values[read.name] = Shown(value, read.unit, read.rounding, text)
    return replace(sums, values=values)


def said(text: Words, sums: Example) -> str:
    """A text with the picture's own numbers in it."""
    return "".join(part if isinstance(part, str) else sums.values[part.id].text for part in text)


def _value(sums: Example, name: str) -> float:
    value = sums.values[name].value
    if value is None:
        raise ValueError(f"{name} is a word and marks no point")
    return value


def _rows(bank: Bank, picture: Picture, sums: Example, xs: list[float]) -> list[dict[str, float]]:
    assert picture.sums is not None
    known: dict[str, Carried | str] = {}
    dimensions = {q.id: q.unit.dimension for q in (*bank.quantities.values(), *picture.sums.quantities)}
    for name, shown in sums.values.items():
        known[name] = shown.text if shown.value is None else _si(shown.value, dimensions[name])
    curves = [curve for plot in picture.plots for curve in plot.curves]
    laws: dict[str, Law] = {}
    names = (*sums.values, picture.across)
    for curve in curves:
        if curve.step:
            laws[curve.find] = law_of(bank, picture.sums, curve.step, names)
        names = (*names, curve.find)
    return [_row(curves, laws, {**known, picture.across: _si(x, dimensions[picture.across])}) for x in xs]


def _si(value: float, dimension: tuple[int, ...]) -> Carried:
    return Carried(value, scale_of(Fraction(1), dimension))


def _row(curves: list[Curve], laws: Mapping[str, Law], known: dict[str, Carried | str]) -> dict[str, float]:
    made: dict[str, float] = {}
    for curve in curves:
        try:
            numbers = {name: value for name, value in known.items() if isinstance(value, Carried)}
            if curve.tree is not None:
                found: Carried | str | None = carry(curve.tree, numbers)
            else:
                found = second_route(laws[curve.find], known)
        except (ValueError, ZeroDivisionError, OverflowError, KeyError):
            continue
        if isinstance(found, Carried):
            known[curve.find] = found
            made[curve.find] = found.counted_in(Fraction(1))
    return made


def _pieces(
    curve: Curve, xs: list[float], rows: list[dict[str, float]], before: Mapping[float, dict[str, float]],
    across: Unit, up: Unit,
) -> tuple[Line, ...]:  # fmt: skip
    """The curve within its `while`, which ends with what the curve came from: a jump at that very point is the next
    one's. `before` has the values a hair before each such end."""
    if curve.last is not None:
        end = min(curve.last, xs[-1])
        rows = [row for x, row in zip(xs, rows, strict=True) if x < end] + [before[curve.last]]
        xs = [*(x for x in xs if x < end), end]
    pieces: list[list[tuple[float, float]]] = [[]]
    for x, row in zip(xs, rows, strict=True):
        if curve.find in row and (curve.first is None or x >= curve.first):
            pieces[-1].append((x / float(across.factor), row[curve.find] / float(up.factor)))
        elif pieces[-1]:
            pieces.append([])
    drawn = tuple(tuple(piece) for piece in pieces if len(piece) > 1)
    if not drawn:
        raise ValueError(f"{curve.find} has none on its way")
    return drawn
