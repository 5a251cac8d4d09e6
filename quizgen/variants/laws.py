"""What a step computes with: the form, cases or table of its law, in the question's own names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from quizgen.bank.models import Bank, Case, Formula, Quantity, Question, Slip, Step, Table, quantity_of
from quizgen.bank.read_questions import law_letters
from quizgen.expression.carry import Carried, carried, carry, holds
from quizgen.expression.evaluate import arrays, arrays_of
from quizgen.expression.tree import Binary, Equation, Expression, Name, names, rename


@dataclass(frozen=True, slots=True)
class Law:
    """One resolved step. Exactly one of `form`, `cases`, `table` is set."""

    step: Step
    quantity: Quantity
    title: str
    form: Equation | None = None
    others: tuple[Equation, ...] = ()
    """Further forms whose quantities are all known after this step: the way back."""
    cases: tuple[Case, ...] = ()
    table: Table | None = None
    inputs: tuple[Quantity, ...] = ()
    slips: tuple[Slip, ...] = ()
    symbols: tuple[tuple[str, str], ...] = ()
    factor: float = field(init=False)
    """SI in one of the unit asked for: kept as a float, which the checks ask for several times a batch."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "factor", float(self.step.unit.factor))


def law_of(bank: Bank, question: Question, step: Step, known: tuple[str, ...]) -> Law:
    """The law of a step. The loader has proved that one exists."""
    new = dict(step.letters)
    quantity = quantity_of(bank, question, step.find)
    speaks = {*law_letters(bank.formulas, bank.tables, step.by)}
    names_used = {new.get(letter, letter) for letter in speaks}
    symbols = tuple((id, quantity_of(bank, question, id).symbol) for id in sorted(names_used))
    own = question.slips
    if step.by in bank.tables:
        table = bank.tables[step.by]
        inputs = tuple(quantity_of(bank, question, new[name]) for name in table.inputs)
        slips = _wanted(question, (*table.slips, *own), step.find, known)
        return Law(step, quantity, table.title, table=table, inputs=inputs, slips=slips, symbols=symbols)
    formula = bank.formulas[step.by]
    slips = _wanted(question, (*_slips_of(formula, new), *own), step.find, known)
    if formula.cases:
        cases = tuple(_renamed_case(case, new) for case in formula.cases)
        return Law(step, quantity, formula.title, cases=cases, slips=slips, symbols=symbols)
    forms = [_renamed(form, new) for form in formula.forms]
    mine = next(f for f in forms if f.left == step.find and set(names(f.right)) <= set(known))
    after = {*known, step.find}
    others = tuple(
        f for f in forms if f is not mine and f.left in after and set(names(f.right)) <= after and f.left != step.find
    )
    return Law(step, quantity, formula.title, form=mine, others=others, slips=slips, symbols=symbols)


def laws_of(bank: Bank, question: Question) -> tuple[Law, ...]:
    known = tuple(given.id for given in question.givens)
    made = []
    for step in question.steps:
        made.append(law_of(bank, question, step, known))
        known = (*known, step.find)
    return tuple(made)


def _wanted(question: Question, slips: tuple[Slip, ...], find: str, known: tuple[str, ...]) -> tuple[Slip, ...]:
    """The slips of a step, each with the first of its forms that can be worked out when the step is asked.

    A question's own slip replaces the formula's of the same name; those switched off fall out, and so do
    those that speak of quantities a learner does not know yet.
    """
    last: dict[str, Slip] = {}
    for slip in slips:
        forms = tuple(f for f in slip.forms if f.left == find and set(names(f.right)) <= set(known))[:1]
        judged = slip.when is None or set(names(slip.when)) <= set(known)
        if (forms or slip.row) and judged and slip.id not in question.without:
            last[slip.id] = replace(slip, forms=forms)
    return tuple(last.values())


def _renamed(form: Equation, new: dict[str, str]) -> Equation:
    return Equation(new.get(form.left, form.left), rename(form.right, new), form.text)


def _renamed_case(case: Case, new: dict[str, str]) -> Case:
    then = _renamed(case.then, new) if isinstance(case.then, Equation) else case.then
    return replace(case, when=rename(case.when, new), then=then)


def _slips_of(formula: Formula, new: dict[str, str]) -> tuple[Slip, ...]:
    return tuple(
        replace(
            slip,
            forms=tuple(_renamed(form, new) for form in slip.forms),
            when=rename(slip.when, new) if slip.when is not None else None,
        )
        for slip in formula.slips
    )


def values(law: Law, known: Mapping[str, Any], size: int, each: Any = None, rough: Any = None) -> Any:
    """Values in SI for a batch (float array, nan where a word is given), and the words or None."""
    import numpy as np

    if law.form is not None:
        return _whole(arrays(law.form.right, known, each, rough, last=False), size), None
    if law.table is not None:
        return _table_values(law, known, size, 0)
    result, words = np.full(size, np.nan), np.full(size, "", dtype=object)
    for case in law.cases:
        here = np.broadcast_to(arrays(case.when, known), (size,))
        if isinstance(case.then, str):
            words[here] = case.then
        else:
            value = np.broadcast_to(arrays(case.then.right, known, each, rough, last=False), (size,))
            result = np.where(here, value, result)
    return result, words if any(isinstance(case.then, str) for case in law.cases) else None


def _whole(value: Any, size: int) -> Any:
    """The value for every draw: a law without givens that vary gives one number."""
    import numpy as np

    return value if getattr(value, "shape", ()) == (size,) else np.full(size, value)


@cache
def operation(op: str) -> Expression:
    """The tree `a op b`."""
    return Binary(op, Name("a", 0), Name("b", 0), 0)


def slip_values(law: Law, known: Mapping[str, Any], size: int) -> dict[str, Any]:
    """What each slip gives in SI for a batch; nan where it gives nothing or is no slip."""
    import numpy as np

    looked = {s.id: _table_values(law, known, size, s.row)[0] for s in law.slips if law.table is not None and s.row}
    worked = [slip for slip in law.slips if slip.id not in looked]
    found = dict(
        zip((s.id for s in worked), arrays_of([s.forms[0].right for s in worked], known), strict=True), **looked
    )
    made = {}
    for slip in law.slips:
        value = _whole(found[slip.id], size)
        made[slip.id] = value if slip.when is None else np.where(arrays(slip.when, known), value, np.nan)
    return made


def _table_values(law: Law, known: Mapping[str, Any], size: int, shift: int) -> Any:
    """Read the table for each draw; rows shifted by -1 or 1 for a slip."""
    import numpy as np

    table = law.table
    assert table is not None
    columns = [np.broadcast_to(np.asarray(known[q.id]), (size,)) for q in law.inputs]
    result, words = np.full(size, np.nan), np.full(size, "", dtype=object)
    read: dict[tuple[Any, ...], float | str | None] = {}
    for at, looked in enumerate(zip(*(column.tolist() for column in columns), strict=True)):
        if looked not in read:
            read[looked] = read_table(table, law.inputs, looked, law.quantity, shift)
        found = read[looked]
        if isinstance(found, str):
            words[at] = found
        elif found is not None:
            result[at] = found
    return result, words if any(words) else None


def read_table(
    table: Table, inputs: tuple[Quantity, ...], wanted: tuple[Any, ...], output: Quantity, shift: int = 0
) -> float | str | None:
    """The value in SI, or the word, that the table gives; None where it gives nothing."""
    if table.read == "between rows":
        return _between_rows(table, inputs[0], float(wanted[0]), output) if not shift else None
    for index, row in enumerate(table.rows):
        if _meets(table.read, row[:-1], inputs, wanted):
            index += shift
            return _cell(table.rows[index][-1], output) if 0 <= index < len(table.rows) else None
    return None


def _meets(way: str, cells: tuple[str, ...], inputs: tuple[Quantity, ...], wanted: tuple[Any, ...]) -> bool:
    for cell, quantity, value in zip(cells, inputs, wanted, strict=True):
        if quantity.words:
            if cell != value:
                return False
            continue
        limit = float(cell) * float(quantity.unit.factor)
        close = abs(limit - value) <= 1e-9 * abs(limit)
        if not (close or (way == "next row up" and limit > value)):
            return False
    return True


def _cell(text: str, output: Quantity) -> float | str:
    if output.words:
        return text
    try:
        return float(text) * float(output.unit.factor)
    except ValueError:
        return text


def _between_rows(table: Table, quantity: Quantity, value: float, output: Quantity) -> float | None:
    factor = float(quantity.unit.factor)
    points = [(float(row[0]) * factor, float(row[-1]) * float(output.unit.factor)) for row in table.rows]
    for (x0, y0), (x1, y1) in zip(points, points[1:], strict=False):
        if x0 * (1 - 1e-12) <= value <= x1 * (1 + 1e-12):
            return y0 + (y1 - y0) * (value - x0) / (x1 - x0)
    return None


def second_route(law: Law, known: Mapping[str, Carried | str]) -> Carried | str | None:
    """The same step by the walk that carries units; a word where a case or table gives one."""
    numbers = {name: value for name, value in known.items() if isinstance(value, Carried)}
    if law.form is not None:
        return carry(law.form.right, numbers)
    if law.table is not None:
        wanted: list[float | str] = []
        for quantity in law.inputs:
            value = known[quantity.id]
            if isinstance(value, Carried):
                wanted.append(value.counted_in(quantity.unit.factor) * float(quantity.unit.factor))
            else:
                wanted.append(value)
        found = read_table(law.table, law.inputs, tuple(wanted), law.quantity)
        if isinstance(found, float):
            return carried(found / float(law.quantity.unit.factor), law.quantity.unit)
        return found
    for case in law.cases:
        if holds(case.when, numbers):
            return case.then if isinstance(case.then, str) else carry(case.then.right, numbers)
    return None
