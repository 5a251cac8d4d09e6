"""Formulas: stated and solved equations, or cases; slips; citations; published check values."""

from __future__ import annotations

import collections.abc
import re

from quizgen.bank.cover import uncovered
from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, near, quoted
from quizgen.bank.fields import bad_id, citation
from quizgen.bank.models import Case, CheckValue, Citation, Formula, Quantity, Source
from quizgen.bank.read_slips import SlipReader
from quizgen.bank.yaml_reader import Listing, Mapping, Text
from quizgen.expression.dimension import Sort, check_condition, check_gives, sort_of_unit
from quizgen.expression.parse import ExpressionError, parse_condition, parse_equation
from quizgen.expression.tree import Equation, Expression, names
from quizgen.expression.units import UnitList

_FIELDS = ("title", "states", "solved", "cases", "finds", "gap", "holds for", "slips", "source", "check")


def sorts_of(quantities: collections.abc.Mapping[str, Quantity]) -> dict[str, Sort]:
    return {id: sort_of_unit(quantity.unit) for id, quantity in quantities.items()}


def read_citations(entry: Entry, sources: collections.abc.Mapping[str, Source], required: bool) -> tuple[Citation, ...]:
    read = (entry.parsed(line, lambda text: citation(text, sources)) for line in entry.lines("source", required))
    return tuple(found for found in read if found)


class FormulaReader:
    """Reads formulas that may use the bank's quantities and sources."""

    def __init__(
        self, units: UnitList, quantities: collections.abc.Mapping[str, Quantity],
        sources: collections.abc.Mapping[str, Source], faults: list[Fault],
    ) -> None:  # fmt: skip
        self.units, self.quantities, self.sources, self.faults = units, quantities, sources, faults
        self.sorts = sorts_of(quantities)

    def read(self, id: Text, node: Mapping) -> Formula:
        entry = Entry(id.value, node, self.faults, _FIELDS)
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        title = entry.words("title")
        stated = [e for line in entry.lines("states", required=False) if (e := self._equation(entry, line))]
        solved = [e for line in entry.lines("solved", required=False) if (e := self._equation(entry, line))]
        cases, finds = self._cases(entry)
        if bool(entry.has("states")) == bool(entry.has("cases")):
            entry.fault(id.place, "a formula has either states: or cases:")
        if solved and not entry.has("states"):
            entry.fault(entry.place("solved"), "solved: goes with states:; the way back from cases is a formula")
        self._doubles(entry, stated, solved)
        gap = self._gap(entry)
        if cases and not self._faulty(entry):
            self._cover(entry, cases, gap)
        letters = {n for e in (*stated, *solved) for n in (e.left, *names(e.right))}
        letters |= {finds} | {n for c in cases for n in self._case_names(c)} if cases else set()
        finding = {e.left for e in (*stated, *solved)} | ({finds} if finds else set())
        sorts = {name: sort for name, sort in self.sorts.items() if name in letters}
        slips = SlipReader(id.value, self.units, sorts, self.faults, finding)
        return Formula(
            id.value, title, (*stated, *solved), len(stated), cases, finds, gap,
            entry.words("holds for", required=False),
            slips.read(entry.mapping("slips", required=False)),
            read_citations(entry, self.sources, required=True),
            read_checks(entry), id.place,
        )  # fmt: skip

    def _faulty(self, entry: Entry) -> bool:
        return any(fault.owner == entry.owner for fault in self.faults)

    def _equation(self, entry: Entry, line: Text) -> Equation | None:
        equation = entry.parsed(line, lambda text: parse_equation(text, self.units))
        if not equation or not entry.checked(line, lambda: self._sound(equation)):
            return None
        return equation

    def _sound(self, equation: Equation) -> None:
        self._known(equation.left, 0)
        if equation.left in names(equation.right):
            raise ExpressionError(f"{equation.left} stands on both sides: solve for it", 0)
        check_gives(equation.right, self.sorts, self.sorts[equation.left], equation.left)

    def _known(self, name: str, at: int) -> None:
        if name not in self.quantities:
            raise ExpressionError(f"{quoted(name)} is no quantity here.{near(name, self.quantities)}", at)

    def _doubles(self, entry: Entry, stated: list[Equation], solved: list[Equation]) -> None:
        seen: set[tuple[str, frozenset[str]]] = set()
        for equation in (*stated, *solved):
            key = (equation.left, frozenset(names(equation.right)))
            if key in seen:
                entry.fault(entry.place("states"), f"{equation.left} is given twice from the same quantities")
            seen.add(key)

    def _cases(self, entry: Entry) -> tuple[tuple[Case, ...], str]:
        node = entry.node.get("cases")
        named = entry.words("finds", required=False)
        if node is None:
            if named:
                entry.fault(entry.place("finds"), "finds: goes with cases: only")
            return (), ""
        if not isinstance(node, Listing) or not node.items:
            entry.fault(node.place, "cases: is a list, each entry with when: and then:")
            return (), named
        made, finds = [], {named} if named else set()
        for item in node.items:
            if not isinstance(item, Mapping):
                entry.fault(item.place, "a case has when: and then:")
                continue
            one = Entry(entry.owner, item, self.faults, ("when", "then"))
            when_text, then_text = one.text("when"), one.text("then")
            if not when_text or not then_text:
                continue
            when = one.parsed(when_text, lambda text: parse_condition(text, self.units))
            if when is None or not one.checked(when_text, self._comparing(when)):
                continue
            then = self._then(one, then_text)
            if then is None:
                continue
            finds |= {then.left} if isinstance(then, Equation) else set()
            made.append(Case(when, then, " ".join(when_text.value.split())))
        if len(finds) != 1:
            said = "the cases give several quantities" if finds else "only words: add finds: with the quantity they give"
            entry.fault(node.place, said)
            return (), ""
        (found,) = finds
        if found not in self.quantities:
            entry.fault(entry.place("finds"), f"{quoted(found)} is no quantity here.{near(found, self.quantities)}")
            return (), ""
        return tuple(made), found

    def _comparing(self, when: Expression):  # type: ignore[no-untyped-def]
        return lambda: check_condition(when, self.sorts)

    def _then(self, entry: Entry, text: Text) -> Equation | str | None:
        if "=" in text.value:
            return self._equation(entry, text)
        word = " ".join(text.value.split())
        if len(word) > 80 or not re.match(r"\w", word):
            entry.fault(text.place, "then: is an equation like I = 6 A, or a few plain words")
            return None
        return word

    def _case_names(self, case: Case) -> tuple[str, ...]:
        return (*names(case.when), *(names(case.then.right) if isinstance(case.then, Equation) else ()))

    def _gap(self, entry: Entry) -> tuple[Expression, ...]:
        made = []
        for line in entry.lines("gap", required=False):
            condition = entry.parsed(line, lambda text: parse_condition(text, self.units))
            if condition is not None and entry.checked(line, self._comparing(condition)):
                made.append(condition)
        return tuple(made)

    def _cover(self, entry: Entry, cases: tuple[Case, ...], gap: tuple[Expression, ...]) -> None:
        wrong = uncovered(cases, gap, self.quantities)
        if wrong:
            node = entry.node.get("cases")
            place = entry.place("cases")
            if isinstance(node, Listing) and wrong[1] >= 0:
                place = node.items[min(wrong[1], len(node.items) - 1)].place
            entry.fault(place, wrong[0])


_CHECK = re.compile(r"\s*([A-Za-z]\w*)\s*=\s*(.+?)\s+when\s+(.+?)\s*", re.ASCII)


def read_checks(entry: Entry) -> tuple[CheckValue, ...]:
    """`P = 14.35 kW when U_LL = 415 V, I_L = 19.97 A`; the values are read when they are run."""
    made = []
    for line in entry.lines("check", required=False):
        found = _CHECK.fullmatch(" ".join(line.value.split()))
        pairs = [part.partition("=") for part in found.group(3).split(",")] if found else []
        if not found or any(not sign for _, sign, _ in pairs):
            entry.fault(line.place, "expected: P = 14.35 kW when U_LL = 415 V, I_L = 19.97 A")
            continue
        given = tuple((name.strip(), value.strip()) for name, _, value in pairs)
        made.append(CheckValue(found.group(1), found.group(2), given, line.place))
    return tuple(made)
