"""Formulas: stated and solved equations, or cases; slips; citations; published check values."""

from __future__ import annotations

import collections.abc
import re

from quizgen.bank.cover import uncovered
from quizgen.bank.entry import Entry, Partial
from quizgen.bank.faults import Fault, near, quoted
from quizgen.bank.fields import UnknownName, bad_id, citation
from quizgen.bank.models import Case, CheckValue, Citation, Formula, Quantity, Source
from quizgen.bank.read_slips import SlipReader
from quizgen.bank.yaml_reader import Listing, Mapping, Node, Text
from quizgen.expression.dimension import Sort, check_condition, check_gives, sort_of_unit
from quizgen.expression.parse import ExpressionError, parse_condition, parse_equation
from quizgen.expression.tree import Equation, Expression, Name, names, walk
from quizgen.expression.units import UnitList

_FIELDS = ("title", "states", "solved", "cases", "finds", "gap", "holds for", "slips", "source", "check")


def sorts_of(quantities: collections.abc.Mapping[str, Quantity]) -> dict[str, Sort]:
    """The sort of every quantity that can be computed with; words cannot."""
    return {id: sort_of_unit(quantity.unit) for id, quantity in quantities.items() if not quantity.words}


def doubtful(quantities: collections.abc.Mapping[str, Quantity]) -> frozenset[str]:
    """Quantities whose unit or range could not be read."""
    return frozenset(id for id, quantity in quantities.items() if quantity.doubtful)


def check_known(tree: Expression, quantities: collections.abc.Mapping[str, Quantity]) -> None:
    """Raise ExpressionError unless every name is a quantity that can be computed with."""
    for node in walk(tree):
        if isinstance(node, Name):
            check_name(node.id, node.at, quantities)


def check_name(name: str, at: int, quantities: collections.abc.Mapping[str, Quantity]) -> None:
    if name not in quantities:
        raise UnknownName(f"{quoted(name)} is no quantity here.{near(name, quantities)}", at)
    if quantities[name].words:
        raise ExpressionError(f"{name} is a word: nothing can be computed or compared with it", at)


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
        self.sorts, self.doubtful = sorts_of(quantities), doubtful(quantities)

    def read(self, id: Text, node: Mapping) -> Formula:
        entry, before = Entry(id.value, node, self.faults, _FIELDS), len(self.faults)
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        title = entry.words("title")
        stated, solved = self._equations(entry)
        cases, finds = self._cases(entry)
        if bool(entry.has("states")) == bool(entry.has("cases")):
            entry.fault(id.place, "a formula has either states: or cases:")
        if solved and not entry.has("states"):
            entry.fault(entry.place("solved"), "solved: goes with states:; the way back from cases is a formula")
        gap = self._gap(entry)
        if cases and len(self.faults) == before:
            self._cover(entry, cases, gap)
        if len(self.faults) == before and not isinstance(self.faults, Partial):
            letters = {n for e in (*stated, *solved) for n in (e.left, *names(e.right))}
            letters |= {finds} | {n for c in cases for n in self._case_names(c)} if cases else set()
            finding = {e.left for e in (*stated, *solved)} | ({finds} if finds else set())
        else:
            # What is missing here may be what a slip speaks of.
            letters = finding = set(self.quantities)
        sorts = {name: sort for name, sort in self.sorts.items() if name in letters}
        slips = SlipReader(id.value, self.units, sorts, self.faults, finding, self.doubtful)
        return Formula(
            id.value, title, (*stated, *solved), len(stated), cases, finds, gap,
            entry.words("holds for", required=False),
            slips.read(entry.mapping("slips", required=False)),
            read_citations(entry, self.sources, required=True),
            read_checks(entry), id.place,
        )  # fmt: skip

    def _equations(self, entry: Entry) -> tuple[list[Equation], list[Equation]]:
        """The stated and the solved ones; no quantity may be given twice from the same others."""
        made: dict[str, list[Equation]] = {"states": [], "solved": []}
        seen: set[tuple[str, frozenset[str]]] = set()
        for key, equations in made.items():
            for line in entry.lines(key, required=False):
                if equation := self._equation(entry, line):
                    way = (equation.left, frozenset(names(equation.right)))
                    if way in seen:
                        entry.fault(line.place, f"{equation.left} is given twice from the same quantities: keep one")
                    seen.add(way)
                    equations.append(equation)
        return made["states"], made["solved"]

    def _equation(self, entry: Entry, line: Text) -> Equation | None:
        equation = entry.parsed(line, lambda text: parse_equation(text, self.units))
        if not equation or not entry.checked(line, lambda: self._sound(equation)):
            return None
        return equation

    def _sound(self, equation: Equation) -> None:
        check_name(equation.left, 0, self.quantities)
        check_known(equation.right, self.quantities)
        if equation.left in names(equation.right):
            raise ExpressionError(f"{equation.left} stands on both sides: solve for it", 0)
        if not self.doubtful & {equation.left, *names(equation.right)}:
            check_gives(equation.right, self.sorts, self.sorts[equation.left], equation.left)

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
        made: list[Case] = []
        finds = {named} if named else set()
        for item in node.items:
            if case := self._case(entry, item):
                made.append(case)
                finds |= {case.then.left} if isinstance(case.then, Equation) else set()
        if len(made) < len(node.items):
            return (), ""
        if len(finds) != 1:
            said = (
                "the cases give several quantities" if finds else "only words: add finds: with the quantity they give"
            )
            entry.fault(node.place, said)
            return (), ""
        (found,) = finds
        if found not in self.quantities:
            entry.unknown(entry.place("finds"), found, "quantity", self.quantities)
            return (), ""
        for case, item in zip(made, node.items, strict=True):
            if found in self._case_names(case):
                entry.fault(item.place, f"the cases find {found}, so no case can ask for it")
                return (), ""
        return tuple(made), found

    def _case(self, entry: Entry, item: Node) -> Case | None:
        if not isinstance(item, Mapping):
            entry.fault(item.place, "a case has when: and then:")
            return None
        one = Entry(entry.owner, item, self.faults, ("when", "then"))
        when_text, then_text = one.text("when"), one.text("then")
        when = one.parsed(when_text, lambda text: parse_condition(text, self.units)) if when_text else None
        if when_text and when is not None and not one.checked(when_text, self._comparing(when)):
            when = None
        then = self._then(one, then_text) if then_text else None
        if when_text is None or when is None or then is None:
            return None
        return Case(when, then, " ".join(when_text.value.split()))

    def _comparing(self, when: Expression) -> collections.abc.Callable[[], None]:
        def check() -> None:
            check_known(when, self.quantities)
            if not names(when):
                raise ExpressionError("this compares no quantity: a condition names at least one", 0)
            if not self.doubtful & set(names(when)):
                check_condition(when, self.sorts)

        return check

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
        if self.doubtful & {name for case in cases for name in names(case.when)}:
            return
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
