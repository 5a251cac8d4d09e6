"""Working a formula or table for any numbers with units, with the solution written out.

This is the calculator behind `quizgen work`, and what the published check values run through.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from quizgen.bank.faults import Fault, near, quoted
from quizgen.bank.fields import Amount, amount, fits, si
from quizgen.bank.fields import unit as read_unit_text
from quizgen.bank.models import Bank, CheckValue, Formula, Quantity, Table, all_laws
from quizgen.bank.read_questions import law_letters, law_ways
from quizgen.cache import Cache, content_key
from quizgen.expression.carry import Carried, carried, carry, holds
from quizgen.expression.linear import equation_line, linear, symbol_text
from quizgen.expression.parse import ExpressionError
from quizgen.expression.tree import Equation, names
from quizgen.expression.units import Unit
from quizgen.expression.writing import Rounding, quantity, rounded, spaced, with_unit
from quizgen.variants.compile import code_version
from quizgen.variants.laws import read_table


class WorkError(ValueError):
    """One clear line: what is wrong and what to do."""


@dataclass(frozen=True, slots=True)
class Worked:
    """A result: `value` counted in `unit` (None where the law gives a word), and the solution's lines."""

    value: float | None
    word: str
    unit: Unit
    lines: tuple[str, ...]
    notes: tuple[str, ...]


def work(bank: Bank, law: str, find: str, given: Mapping[str, str], in_unit: str = "") -> Worked:
    """Find a quantity by a formula or table from amounts such as {"P": "11 kW"}. Raises WorkError."""
    if law not in bank.formulas and law not in bank.tables:
        known = (*bank.formulas, *bank.tables)
        raise WorkError(f"{quoted(law)} is no formula or table here.{near(law, known)}")
    letters = law_letters(bank.formulas, bank.tables, law)
    ways = law_ways(bank.formulas, bank.tables, law)
    finds = tuple(dict.fromkeys(left for left, _ in ways))
    if find not in finds:
        raise WorkError(f"{law} finds {', '.join(finds)}, not {quoted(find)}.{near(find, finds)}")
    for name in given:
        if name not in letters:
            raise WorkError(f"{law} has no quantity {quoted(name)}, only {', '.join(letters)}.{near(name, letters)}")
    mine = [needs for left, needs in ways if left == find]
    fitting = [needs for needs in mine if set(needs) <= set(given)]
    if not fitting:
        needed = min(mine, key=lambda needs: len(set(needs) - set(given)))
        missing = [f'{n}="{f"… {bank.quantities[n].unit.text}".strip()}"' for n in needed if n not in given]
        raise WorkError(f"to find {find} by {law}, add {' '.join(missing)}")
    extra = [name for name in given if name not in fitting[0]]
    if extra:
        raise WorkError(f"{', '.join(extra)} is not needed to find {find}: leave it out")
    read = {name: _read(bank, name, text) for name, text in given.items()}
    quantity_found = bank.quantities[find]
    out = _out_unit(bank, quantity_found, in_unit)
    try:
        result, lines = _result(bank, law, find, read, given, set(fitting[0]))
    except (ValueError, ZeroDivisionError, OverflowError) as error:
        if isinstance(error, WorkError):
            raise
        raise WorkError(f"{law} has no value for these numbers: {_mathematics(error)}") from None
    if isinstance(result, str):
        return Worked(
            None, result, quantity_found.unit, (*lines, f"{symbol_text(quantity_found.symbol)}: {result}"), ()
        )
    value = result.counted_in(out.factor)
    if not math.isfinite(value):
        raise WorkError(f"{law} has no finite value for these numbers")
    shown = quantity(value, Rounding(figures=4), out.text)
    notes = tuple(_notes(bank, {**read, find: (repr(result.counted_in(1)), Unit("", 1, out.dimension))}))
    return Worked(value, "", out, (*lines, f"{symbol_text(quantity_found.symbol)} = {shown}"), notes)


def _mathematics(error: Exception) -> str:
    return "it would divide by zero" if isinstance(error, ZeroDivisionError) else "a root or logarithm is not defined"


def _read(bank: Bank, name: str, text: str) -> Amount | str:
    own = bank.quantities[name]
    if own.words:
        return text.strip()
    try:
        value = amount(_with_point(name, text), bank.units)
        fits(value, own.unit, name)
    except ExpressionError as error:
        raise WorkError(f"{name}: {error}") from None
    return value


def _with_point(name: str, text: str) -> str:
    """A typed decimal comma as a point. Raises WorkError where it could also part thousands."""
    found = re.match(r"\s*[-\u2212]?([0-9]*),([0-9]+)(?![0-9.,])", text)
    if not found:
        return text
    if re.fullmatch(r"[1-9][0-9]{0,2}", found[1]) and len(found[2]) == 3:
        large, small = f"{found[1]}{found[2]}", f"{found[1]}.{found[2]}"
        raise WorkError(f"{name}: {quoted(text.strip())} reads two ways: write {large} or {small}")
    return text.replace(",", ".", 1)


def _out_unit(bank: Bank, found: Quantity, text: str) -> Unit:
    if not text:
        return found.unit
    try:
        out = read_unit_text(text, bank.units)
        fits(("1", out), found.unit, found.id)
    except ExpressionError as error:
        raise WorkError(f"--in: {error}") from None
    return out


def _result(
    bank: Bank,
    law: str,
    find: str,
    read: Mapping[str, Amount | str],
    given: Mapping[str, str],
    needs: set[str],
) -> tuple[Carried | str, list[str]]:
    symbols = {q.id: q.symbol for q in bank.quantities.values()}
    if law in bank.tables:
        return _by_table(bank, bank.tables[law], read)
    formula: Formula = bank.formulas[law]
    known = {name: carried(float(value[0]), value[1]) for name, value in read.items() if not isinstance(value, str)}
    if not formula.cases:
        form = next(f for f in formula.forms if f.left == find and set(names(f.right)) == needs)
        return carry(form.right, known), _lines(form, symbols, read)
    for case in formula.cases:
        if holds(case.when, known):
            if isinstance(case.then, str):
                return case.then, [f"{case.when_text}: {case.then}"]
            return carry(case.then.right, known), [case.when_text, *_lines(case.then, symbols, read)]
    shown = ", ".join(f"{name} = {text}" for name, text in given.items())
    raise WorkError(f"{law} says nothing for {shown}: it lies in a gap or outside all cases")


def _lines(form: Equation, symbols: Mapping[str, str], read: Mapping[str, Amount | str]) -> list[str]:
    shown = {name: value if isinstance(value, str) else _shown(value) for name, value in read.items()}
    units = {name: "" if isinstance(value, str) else value[1].text for name, value in read.items()}
    filled = linear(form.right, lambda id: shown[id], lambda id: units[id])
    return [equation_line(form, symbols), f"{symbol_text(symbols[form.left])} = {filled}"]


def _shown(value: Amount) -> str:
    return with_unit(spaced(value[0]), value[1].text)


def _by_table(bank: Bank, table: Table, read: Mapping[str, Amount | str]) -> tuple[Carried | str, list[str]]:
    inputs = tuple(bank.quantities[name] for name in table.inputs)
    wanted = tuple(value if isinstance(value, str) else si(value) for value in (read[q.id] for q in inputs))
    output = bank.quantities[table.output]
    found = read_table(table, inputs, wanted, output)
    if found is None:
        rows = ", ".join(" ".join(row[:-1]) for row in table.rows[:12])
        raise WorkError(f"{table.id} has no row for these values ({table.read}). Its rows: {rows}")
    lines = [f"{table.title} ({table.read})"]
    if isinstance(found, str):
        return found, lines
    return carried(found / float(output.unit.factor), output.unit), lines


def _notes(bank: Bank, read: Mapping[str, Amount | str]) -> list[str]:
    made = []
    for name, value in read.items():
        own = bank.quantities[name]
        if isinstance(value, str) or own.low is None or own.high is None:
            continue
        if not own.low * (1 - 1e-12) <= si(value) <= own.high * (1 + 1e-12) and si(value) not in (
            own.low,
            own.high,
        ):
            made.append(f"{name} lies outside the range the course calls plausible")
    return made


def run_checks(bank: Bank) -> tuple[int, list[Fault]]:
    """Work every published check value in the bank; how many there are, and those that fail."""
    count, faults = 0, []
    for law in all_laws(bank):
        for check in law.checks:
            count += 1
            said = _check(bank, law.id, check)
            if said:
                faults.append(Fault(check.place, law.id, f"check: {said}"))
    return count, faults


def checks_cached(bank: Bank, content: str, store: Cache) -> tuple[int, list[Fault]]:
    """`run_checks`, remembered for a bank's content once all values hold."""
    key = content_key(code_version(), "published values", content)
    kept = store.get(key)
    if isinstance(kept, int):
        return kept, []
    count, faults = run_checks(bank)
    if not faults:
        store.put(key, count)
    return count, faults


def _check(bank: Bank, law: str, check: CheckValue) -> str:
    if check.find not in bank.quantities:
        return f"{quoted(check.find)} is no quantity here"
    own = bank.quantities[check.find]
    try:
        got = work(bank, law, check.find, dict(check.given))
        if got.value is None or own.words:
            return "" if got.word == check.wanted else f"expected {check.wanted}, got {got.word or got.value}"
        wanted = amount(check.wanted, bank.units)
        fits(wanted, own.unit, check.find)
    except (WorkError, ExpressionError) as error:
        return str(error)
    places = len(wanted[0].partition(".")[2])
    step = Rounding(step=f"1e-{places}" if places else "1")
    value = got.value * float(own.unit.factor) / float(wanted[1].factor)
    # Books round and cut: one unit of the last figure printed is agreement.
    if abs(rounded(value, step) - rounded(float(wanted[0]), step)) > rounded(float(f"1e-{places}"), step):
        return f"expected {check.wanted}, got {quantity(value, Rounding(figures=5), wanted[1].text)}"
    return ""
