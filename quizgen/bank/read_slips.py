"""Slips: a name, what a mentor says, and the wrong equations."""

from __future__ import annotations

import collections.abc
from collections.abc import Callable

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, near, quoted
from quizgen.bank.fields import UnknownName, bad_id
from quizgen.bank.models import Slip
from quizgen.bank.yaml_reader import Mapping
from quizgen.expression.dimension import Sort, check_condition, check_gives
from quizgen.expression.parse import ExpressionError, parse_condition, parse_equation
from quizgen.expression.tree import Equation, Expression, Name, names, walk
from quizgen.expression.units import UnitList

ROWS = {"row before": -1, "row after": 1}

GENERAL_SLIPS = (
    "power-of-ten", "sign", "factor-2", "root-2", "root-3", "factor-60", "factor-3600",
    "reciprocal", "one-minus",
)  # fmt: skip
"""Names of the slips that are tried on every answer; no author's slip may bear one."""


class SlipReader:
    """Reads slips whose equations may use the names in `sorts` and ask for the names in `finds`."""

    def __init__(
        self, owner: str, units: UnitList, sorts: collections.abc.Mapping[str, Sort], faults: list[Fault],
        finds: collections.abc.Collection[str], doubtful: collections.abc.Collection[str] = (),
    ) -> None:  # fmt: skip
        self.owner, self.units, self.sorts, self.faults, self.finds = owner, units, sorts, faults, finds
        self.doubtful = frozenset(doubtful)

    def read(self, node: Mapping | None, table: bool = False) -> tuple[Slip, ...]:
        made = []
        for key, value in node.pairs if node else ():
            if isinstance(value, Mapping):
                made.append(self._slip(key.value, key.place, Entry(self.owner, value, self.faults, _FIELDS), table))
            else:
                said = f"slip {quoted(key.value)}: needs says: and wrong: below it"
                self.faults.append(Fault(value.place, self.owner, said))
        return tuple(made)

    def _slip(self, id: str, place, entry: Entry, table: bool) -> Slip:  # type: ignore[no-untyped-def]
        if why := bad_id(id):
            entry.fault(place, f"slip: {why}")
        if id in GENERAL_SLIPS:
            entry.fault(place, f"slip {quoted(id)} bears the name of a general slip: choose another name")
        says = entry.words("says")
        forms: list[Equation] = []
        row = 0
        for line in entry.lines("wrong"):
            if table:
                row = ROWS.get(line.value.strip(), 0)
                if not row:
                    entry.fault(line.place, f"wrong: {quoted(line.value)}: use row before or row after")
                continue
            equation = entry.parsed(line, lambda text: parse_equation(text, self.units))
            if equation and entry.checked(line, self._sound(equation)):
                forms.append(equation)
        when = None
        if text := entry.text("when", required=False):
            when = entry.parsed(text, lambda t: parse_condition(t, self.units))
            if when is not None and not entry.checked(text, self._compares(when)):
                when = None
        return Slip(id, says, tuple(forms), when, row, place)

    def _sound(self, equation: Equation) -> Callable[[], None]:
        def check() -> None:
            if self.doubtful & {equation.left, *names(equation.right)}:
                return
            if equation.left not in self.finds:
                meant = near(equation.left, self.finds)
                raise ExpressionError(f"{equation.left} is never asked for here, so nobody can slip on it.{meant}", 0)
            if equation.left in names(equation.right):
                raise ExpressionError(f"{equation.left} stands on both sides", 0)
            self._known(Name(equation.left, 0))
            self._known(equation.right)
            try:
                check_gives(equation.right, self.sorts, self.sorts[equation.left], equation.left)
            except ExpressionError as error:
                mixed = "right side gives" in str(error)
                hint = ": a slip that mixes units says in which unit, like I = 1 A/% * d" if mixed else ""
                raise ExpressionError(f"{error}{hint}", error.at) from None

        return check

    def _compares(self, condition: Expression) -> Callable[[], None]:
        def check() -> None:
            if not self.doubtful & set(names(condition)):
                self._known(condition)
                check_condition(condition, self.sorts)

        return check

    def _known(self, tree: Expression) -> None:
        for node in walk(tree):
            if isinstance(node, Name) and node.id not in self.sorts:
                message = f"{quoted(node.id)} is nothing to compute with here.{near(node.id, self.sorts)}"
                raise UnknownName(message, node.at)


_FIELDS = ("says", "wrong", "when")
