"""Pictures: circuits as symbols on a grid, and plots of what the bank's formulas give over a sweep.

A part is one line: its kind, one or two points of the grid as `right,down`, a label in quotation marks and
perhaps the side it stands on: `coil 1,4 to 4,4 "L_w|(L_w of the chain)" below`.
"""

from __future__ import annotations

import collections.abc
import functools
import re

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, near, quoted
from quizgen.bank.fields import UnknownName, amount, answer, bad_id, fits, si, unit, words
from quizgen.bank.models import Curve, Mark, Part, Picture, Plot, Quantity, Question, ReadOff, Words
from quizgen.bank.read_chain import called
from quizgen.bank.read_formulas import sorts_of
from quizgen.bank.read_questions import QuestionReader
from quizgen.bank.yaml_reader import Listing, Mapping, Text
from quizgen.expression.dimension import check_gives, sort_of_unit
from quizgen.expression.parse import ExpressionError, parse
from quizgen.expression.tree import Expression
from quizgen.expression.writing import spaced, with_unit

Known = collections.abc.Mapping
ONE_POINT = ("dot", "terminal", "earth", "chassis", "text")
TWO_POINTS = (
    "line", "dashed", "arrow", "resistor", "coil", "capacitor", "diode", "transistor", "switch", "fuse", "battery",
    "ac-source", "square-source", "voltmeter", "ammeter", "ohmmeter", "thermistor", "box", "frame",
)  # fmt: skip
SIDES = ("left", "right", "above", "below", "inside")
LINES = ("solid", "dashed", "dotted", "dash-dot", "hidden")
_COMMON = ("title", "says", "caption")
_CIRCUIT = (*_COMMON, "parts")
_WAVE = (*_COMMON, "quantities", "given", "steps", "across", "plots", "read")
_NUMBER = r"-?\d{1,3}(?:\.\d{1,3})?"
_POINT = rf"({_NUMBER}),({_NUMBER})"
_PART = re.compile(rf'([a-z-]+) {_POINT}(?: to {_POINT})?(?: "([^"]*)")?(?: ([a-z]+))?', re.ASCII)
_CALL = re.compile(r"\(((?:[A-Za-z]\w* )?of the [a-z0-9-]+)\)", re.ASCII)
MAX_PARTS, MAX_CURVES = 300, 12


class PictureReader:
    """Reads pictures, with the reader of questions for what is worked out in them."""

    def __init__(self, questions: QuestionReader, faults: list[Fault]) -> None:
        self.questions, self.faults = questions, faults

    def read(self, id: Text, node: Mapping) -> Picture | None:
        before = len(self.faults)
        entry = Entry(id.value, node, self.faults, _CIRCUIT if node.get("parts") is not None else _WAVE)
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        title = entry.words("title")
        picture: Picture | None
        if entry.has("parts"):
            parts = self._parts(entry)
            picture = Picture(id.value, title, self._words(entry, "says", ()), self._words(entry, "caption", ()), parts)
        else:
            picture = self._wave(entry, id, title)
        return picture if len(self.faults) == before else None

    def _words(self, entry: Entry, key: str, known: collections.abc.Collection[str]) -> Words:
        text = entry.text(key, required=key == "says")
        return (entry.parsed(text, lambda t: words(self._called(t), known)) if text else None) or ()

    def _called(self, text: str) -> str:
        """The text with every number of the chain in its place."""

        def shown(found: re.Match[str]) -> str:
            number, _, of = (called(found[1], "", self.questions.chain) or "").partition(" ")
            return with_unit(spaced(number), of)

        return _CALL.sub(shown, text)

    # Circuits

    def _parts(self, entry: Entry) -> tuple[Part, ...]:
        node = entry.node.get("parts")
        if isinstance(node, Listing) and len(node.items) > MAX_PARTS:
            entry.fault(node.place, f"parts: has {len(node.items)} lines, at most {MAX_PARTS} are drawn")
            return ()
        made = [entry.parsed(line, self._part) for line in entry.lines("parts")]
        return tuple(part for part in made if part)

    def _part(self, text: str) -> Part:
        found = _PART.fullmatch(" ".join(text.split()))
        if not found:
            raise ExpressionError('expected a part and its points, like: coil 1,4 to 4,4 "L_w" below', 0)
        kind, x, y, to_x, to_y, label, side = found.groups()
        if kind not in (*ONE_POINT, *TWO_POINTS):
            raise UnknownName(f"{quoted(kind)} is no part.{near(kind, (*ONE_POINT, *TWO_POINTS))}", 0)
        if (to_x is None) != (kind in ONE_POINT):
            points = "one point" if kind in ONE_POINT else "two points: from 1,4 to 4,4 is written 1,4 to 4,4"
            raise ExpressionError(f"{kind} has {points}", 0)
        if side and side not in SIDES:
            raise ExpressionError(f"{quoted(side)} is no side: use {' / '.join(SIDES)}", 0)
        if kind == "text" and not label:
            raise ExpressionError('a text has its words in quotation marks: text 2,3 "star point"', 0)
        end = (float(to_x), float(to_y)) if to_x is not None else None
        start = (float(x), float(y))
        if end == start:
            raise ExpressionError(f"{kind} ends where it starts", 0)
        return Part(kind, start, end, self._called(label or ""), side or "")

    # Plots

    def _wave(self, entry: Entry, id: Text, title: str) -> Picture | None:
        own, givens, steps, known = self.questions.read_sums(entry)
        quantities: Known[str, Quantity] = {**self.questions.quantities, **own}
        sweep = entry.text("across")
        across = entry.parsed(sweep, functools.partial(self._across, quantities, known)) if sweep else None
        node = entry.node.get("plots")
        if not isinstance(node, Listing) or not node.items:
            entry.fault(node.place if node else entry.node.place, "plots: is a list, each with up: and curves:")
            return None
        if across is None:
            return None
        name, kind, first, last = across
        plots = []
        all_known = [*known, name]
        reads = self._reads(entry, node, quantities, quantities[name])
        asked = entry.node.get("read")
        # What a broken line reads counts as known, so that one slip of the pen is one fault.
        known = [*known, *(asked.keys() if isinstance(asked, Mapping) else ())]
        for item in node.items:
            if isinstance(item, Mapping):
                plots.append(self._plot(entry, item, quantities, all_known, known, quantities[name]))
            else:
                entry.fault(item.place, "a plot holds up: and curves:")
        if any(plot is None for plot in plots):
            return None
        sums = Question(
            id.value, "example", "", "", (), givens=givens, steps=steps, quantities=tuple(own.values()), place=id.place
        )
        return Picture(
            id.value, title, self._words(entry, "says", known), self._words(entry, "caption", known), (), sums,
            name, quantities[name].name, kind, first, last, tuple(plot for plot in plots if plot), reads, id.place,
        )  # fmt: skip

    def _reads(
        self, entry: Entry, plots: Listing, quantities: Known[str, Quantity], sweep: Quantity
    ) -> tuple[ReadOff, ...]:
        """`U_low: lowest u_bridge, 3 figures in V` and `U_5: u_bridge at 5 ms, 3 figures in V`."""
        curves = set()
        for item in plots.items:
            listed = item.get("curves") if isinstance(item, Mapping) else None
            for one in listed.items if isinstance(listed, Listing) else ():
                found = one.get("find") if isinstance(one, Mapping) else None
                curves |= {found.value.strip()} if isinstance(found, Text) else set()
        named = entry.mapping("read", required=False)
        made = []
        for key, value in named.pairs if named else ():
            text = entry.as_text(value, key.value)
            if key.value not in quantities:
                entry.unknown(key.place, key.value, "quantity", quantities)
            elif text:
                made.append(entry.parsed(text, functools.partial(self._read_off, key.value, curves, quantities, sweep)))
        return tuple(one for one in made if one)

    def _read_off(
        self, name: str, curves: set[str], quantities: Known[str, Quantity], sweep: Quantity, text: str
    ) -> ReadOff:
        found = re.fullmatch(r"\s*(?:(highest|lowest) (\w+)|(\w+) at ([^,]+)), (.+)", text)
        if not found:
            raise ExpressionError("expected: lowest u_b, 3 figures in V, or: u_b at 5 ms, 3 figures in V", 0)
        curve = found[2] or found[3]
        if curve not in curves:
            raise UnknownName(f"{quoted(curve)} is no curve here.{near(curve, curves)}", text.index(curve))
        rounding, asked = answer(found[5], self.questions.units)
        measured = asked or quantities[name].unit
        for one in (measured, quantities.get(curve, quantities[name]).unit):
            fits(("1", one), quantities[name].unit, name)
        x = 0.0
        if found[4]:
            place = amount(found[4], self.questions.units, found.start(4))
            fits(place, sweep.unit, sweep.id, found.start(4))
            x = si(place)
        return ReadOff(name, found[1] or "at", curve, x, measured, rounding)

    def _across(self, quantities: Known[str, Quantity], known: list[str], text: str):  # type: ignore[no-untyped-def]
        """`t from 0 ms to 20 ms` as quantity, unit and both ends in SI."""
        found = re.fullmatch(r"\s*(\w+) from (.+?) to (.+?)\s*", text)
        if not found:
            raise ExpressionError("expected: across: t from 0 ms to 20 ms", 0)
        name = found[1]
        if name not in quantities:
            raise UnknownName(f"{quoted(name)} is no quantity here.{near(name, quantities)}", found.start(1))
        if name in known:
            raise ExpressionError(f"{name} is given or found already: sweep another quantity", found.start(1))
        first, last = (amount(found[n], self.questions.units, found.start(n)) for n in (2, 3))
        for end, at in ((first, found.start(2)), (last, found.start(3))):
            fits(end, quantities[name].unit, name, at)
        if si(first) >= si(last) or first[1].text != last[1].text:
            raise ExpressionError("the sweep goes from a smaller to a larger amount in one unit", found.start(2))
        return name, last[1], si(first), si(last)

    def _plot(
        self, owner: Entry, node: Mapping, quantities: Known[str, Quantity], known: list[str], values: list[str],
        sweep: Quantity,
    ) -> Plot | None:  # fmt: skip
        entry = Entry(owner.owner, node, self.faults, ("up", "curves", "marks"))
        up = entry.text("up")
        axis = entry.parsed(up, self._axis) if up else None
        listed = entry.node.get("curves")
        if not isinstance(listed, Listing) or not 0 < len(listed.items) <= MAX_CURVES:
            entry.fault(entry.place("curves"), f"curves: is a list of 1 to {MAX_CURVES}, each with find: and name:")
            return None
        curves = []
        for item in listed.items:
            if not isinstance(item, Mapping):
                entry.fault(item.place, "a curve holds find:, is: or by:, and name:")
                continue
            curve = self._curve(owner, item, quantities, known, sweep)
            if curve:
                curves.append(curve)
                known.append(curve.find)
                if axis and curve.line != "hidden" and quantities[curve.find].unit.dimension != axis[1].dimension:
                    entry.fault(curve.place, f"{curve.find} is not measured in {axis[1].text or 'pure numbers'}")
        marks = [entry.parsed(line, lambda t: self._mark(t, values)) for line in entry.lines("marks", required=False)]
        if axis is None or None in marks:
            return None
        name, measured, low, high = axis
        return Plot(name, measured, low, high, tuple(curves), tuple(mark for mark in marks if mark))

    def _axis(self, text: str):  # type: ignore[no-untyped-def]
        found = re.fullmatch(rf"\s*(.+?) in (\S+)(?: from ({_NUMBER}) to ({_NUMBER}))?\s*", text)
        if not found:
            raise ExpressionError("expected: up: voltage in V, or up: voltage in V from 0 to 400", 0)
        low, high = (float(found[n]) if found[n] else None for n in (3, 4))
        if low is not None and high is not None and low >= high:
            raise ExpressionError("the axis goes from a smaller to a larger number", found.start(3))
        return found[1], unit(found[2], self.questions.units, found.start(2)), low, high

    def _mark(self, text: str, values: list[str]) -> Mark:
        found = re.fullmatch(r'\s*(\w+), (\w+) "([^"]+)"\s*', text)
        if not found:
            raise ExpressionError('expected two values and a label, like: t_end, u_end "60 V"', 0)
        for n in (1, 2):
            if found[n] not in values:
                raise UnknownName(
                    f"{quoted(found[n])} is neither given nor found.{near(found[n], values)}", found.start(n)
                )
        return Mark(found[1], found[2], words(self._called(found[3]), values))

    def _curve(
        self, owner: Entry, node: Mapping, quantities: Known[str, Quantity], known: list[str], sweep: Quantity
    ) -> Curve | None:
        entry = Entry(owner.owner, node, self.faults, ("find", "is", "by", "with", "name", "line", "while"))
        find, name = entry.text("find"), entry.words("name", required=False)
        line = entry.one_of("line", LINES, "solid")
        if not find:
            return None
        id = find.value.strip()
        if id not in quantities:
            entry.unknown(find.place, id, "quantity", quantities)
            return None
        if id in known:
            entry.fault(find.place, f"{id} is known already: it is given or was found before")
            return None
        if not name and line != "hidden":
            entry.missing("name")
        span = entry.text("while", required=False)
        ends = entry.parsed(span, functools.partial(self._while, sweep)) if span else None
        if span and not ends:
            return None
        first, last = ends or (None, None)
        if entry.has("by"):
            step = self.questions.read_law(entry, quantities, tuple(known))
            return Curve(id, name, line, step, None, first, last, find.place) if step else None
        text = entry.text("is")
        tree = entry.parsed(text, functools.partial(self._tree, quantities, known, quantities[id])) if text else None
        return Curve(id, name, line, None, tree, first, last, find.place) if tree else None

    def _tree(self, quantities: Known[str, Quantity], known: list[str], wanted: Quantity, text: str) -> Expression:
        tree = parse(text, self.questions.units)
        sorts = sorts_of({id: quantities[id] for id in known if id in quantities})
        check_gives(tree, sorts, sort_of_unit(wanted.unit), wanted.id)
        return tree

    def _while(self, sweep: Quantity, text: str) -> tuple[float, float]:
        found = re.fullmatch(r"\s*from (.+?) to (.+?)\s*", text)
        if not found:
            raise ExpressionError("expected: while: from 0 ms to 2 ms", 0)
        first, last = (amount(found[n], self.questions.units, found.start(n)) for n in (1, 2))
        for end, at in ((first, found.start(1)), (last, found.start(2))):
            fits(end, sweep.unit, sweep.id, at)
        if si(first) >= si(last):
            raise ExpressionError("the first amount must be the smaller one", found.start(1))
        return si(first), si(last)
