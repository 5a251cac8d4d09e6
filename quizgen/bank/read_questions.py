"""Questions of every kind."""

from __future__ import annotations

import collections.abc
import functools
import re
from decimal import Decimal
from typing import Any

from quizgen.bank.entry import Entry, Partial
from quizgen.bank.faults import Fault, Place, near, quoted
from quizgen.bank.fields import UnknownName, amount, answer, bad_id, choices, fits, plausible, si, span, words
from quizgen.bank.models import (
    Chain,
    Formula,
    Given,
    Option,
    Outcome,
    Quantity,
    Question,
    Slip,
    Slot,
    Source,
    Step,
    Table,
    Words,
)
from quizgen.bank.read_chain import called
from quizgen.bank.read_formulas import check_name, doubtful, read_citations, sorts_of
from quizgen.bank.read_quantities import read_quantity
from quizgen.bank.read_slips import GENERAL_SLIPS, SlipReader
from quizgen.bank.read_tables import is_number
from quizgen.bank.yaml_reader import Listing, Mapping, Text
from quizgen.expression.dimension import check_condition
from quizgen.expression.parse import ExpressionError, parse_condition
from quizgen.expression.tree import Equation, Expression, Name, names, walk
from quizgen.expression.units import Unit, UnitList
from quizgen.expression.writing import Rounding

KINDS = ("numeric", "look-up", "choice", "order")
_COMMON = ("kind", "module", "outcome", "text", "papers", "was", "source")
_STEP = ("find", "by", "with", "ask", "answer", "within", "unit asked")
_WORKED = ("find", "by", "with", "answer")
_NUMERIC = (
    *_COMMON, *_STEP, "given", "quantities", "steps", "slips", "without", "keep",
    "may repeat a given", "on the edge",
)  # fmt: skip
_ALLOWED = {
    "numeric": _NUMERIC,
    "look-up": _NUMERIC,
    "choice": (*_COMMON, "right", "wrong"),
    "order": (*_COMMON, "steps in order", "either way round", "says", "says right"),
}
Known = collections.abc.Mapping


class QuestionReader:
    """Reads questions that may use everything read before them."""

    def __init__(
        self, units: UnitList, quantities: Known[str, Quantity], formulas: Known[str, Formula],
        tables: Known[str, Table], outcomes: Known[str, Outcome], modules: collections.abc.Collection[str],
        sources: Known[str, Source], faults: list[Fault], broken: collections.abc.Collection[str] = (),
        chain: Chain | None = None,
    ) -> None:  # fmt: skip
        self.chain = chain
        self.units, self.quantities, self.formulas, self.tables = units, quantities, formulas, tables
        self.outcomes, self.modules, self.sources, self.faults = outcomes, modules, sources, faults
        self.broken = broken
        """Formulas and tables that have faults of their own: what a question asks of them is not judged."""
        self.sorts, self.doubtful = sorts_of(quantities), doubtful(quantities)

    def read(self, id: Text, node: Mapping) -> Question | None:
        found = node.get("kind")
        kind = "numeric" if found is None else found.value.strip() if isinstance(found, Text) else ""
        # Of an unknown kind nobody knows which fields it has.
        entry = Entry(id.value, node, self.faults, _ALLOWED.get(kind, node.keys()))
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        if entry.one_of("kind", KINDS, "") == "" and entry.has("kind"):
            return None
        module, outcome = self._belongs(entry)
        common: dict[str, Any] = {
            "id": id.value, "kind": kind, "module": module, "outcome": outcome, "place": id.place,
            "papers": entry.one_of("papers", ("none", "half", "only"), "none"),
            "was": tuple(text.value.strip() for text in entry.lines("was", required=False)),
            "citations": read_citations(entry, self.sources, required=False),
        }  # fmt: skip
        if kind == "choice":
            return Question(**common, text=self._words(entry, "text", ()) or (), options=self._options(entry))
        if kind == "order":
            return self._order(entry, common)
        return self._numeric(entry, common)

    def _belongs(self, entry: Entry) -> tuple[str, str]:
        module, outcome = entry.text("module"), entry.text("outcome")
        known = bool(module) and module is not None and module.value.strip() in self.modules
        if module and not known:
            entry.unknown(module.place, module.value.strip(), "module", self.modules)
        if outcome:
            name = outcome.value.strip()
            if name not in self.outcomes:
                entry.unknown(outcome.place, name, "outcome", self.outcomes)
            elif module and known and self.outcomes[name].module != module.value.strip():
                entry.fault(outcome.place, f"outcome {quoted(name)} belongs to module {self.outcomes[name].module}")
        return (module.value.strip() if module else "", outcome.value.strip() if outcome else "")

    def _words(self, entry: Entry, key: str, givens: collections.abc.Collection[str]) -> Words | None:
        """The text with its slots, or None after a fault."""
        text = entry.text(key)
        return entry.parsed(text, lambda t: words(t, givens)) if text else None

    # Choice and order

    def _options(self, entry: Entry) -> tuple[Option, ...]:
        made: list[Option] = []
        shown: set[str] = set()
        for key in ("right", "wrong"):
            node = entry.node.get(key)
            if node is None:
                entry.missing(key)
                continue
            if isinstance(node, Listing) and not node.items:
                entry.fault(node.place, f"{key}: is an empty list: write at least one option")
            for item in node.items if isinstance(node, Listing) else (node,):
                if not isinstance(item, Mapping):
                    entry.fault(item.place, f"{key}: holds option: and says:")
                    continue
                one = Entry(entry.owner, item, self.faults, ("option", "says"))
                option = Option(one.words("option"), one.words("says"), key == "right")
                if option.option and option.option in shown:
                    one.fault(one.place("option"), f"the option {quoted(option.option)} stands twice")
                shown.add(option.option)
                made.append(option)
        if len(made) > 8:
            entry.fault(entry.place("wrong"), f"a choice has at most 8 options, this one has {len(made)}")
        return tuple(made)

    def _order(self, entry: Entry, common: dict[str, Any]) -> Question:
        steps = tuple(" ".join(line.value.split()) for line in entry.lines("steps in order"))
        if len(set(steps)) < len(steps):
            entry.fault(entry.place("steps in order"), "a step stands twice")
        if not 3 <= len(steps) <= 10:
            entry.fault(entry.place("steps in order"), f"an order has 3 to 10 steps, this one has {len(steps)}")
        pairs = []
        for line in entry.lines("either way round", required=False):
            found = re.fullmatch(r"\s*(\d+) and (\d+)\s*", line.value)
            a, b = (int(found.group(1)), int(found.group(2))) if found else (0, 0)
            if not 1 <= a < b <= len(steps) or b != a + 1:
                entry.fault(line.place, "expected two neighbouring step numbers: either way round: 3 and 4")
            else:
                pairs.append((a, b))
        says = []
        named = entry.mapping("says", required=False)
        for key, value in named.pairs if named else ():
            found = re.fullmatch(r"(\d+) before (\d+)", key.value)
            text = entry.as_text(value, key.value)
            a, b = (int(found.group(1)), int(found.group(2))) if found else (0, 0)
            if not found or not (1 <= b < a <= len(steps)):
                entry.fault(key.place, f"{quoted(key.value)}: expected a wrong order like 4 before 3")
            elif text:
                says.append((a, b, " ".join(text.value.split())))
        return Question(
            **common, text=self._words(entry, "text", ()) or (), order=steps, either_way=tuple(pairs),
            order_says=tuple(says), right_says=entry.words("says right", required=False),
        )  # fmt: skip

    # Numeric and look-up

    def _numeric(self, entry: Entry, common: dict[str, Any]) -> Question | None:
        before = len(self.faults)
        own = {q.id: q for q in self._own_quantities(entry)}
        quantities: Known[str, Quantity] = {**self.quantities, **own} if own else self.quantities
        givens, ids = self._givens(entry, quantities)
        if any(id not in quantities for id in ids) or not isinstance(entry.node.get("given"), Mapping):
            # Without the names of the givens nothing can be said about texts, steps and slips.
            return None
        text = self._words(entry, "text", ids)
        steps, asks, found = self._steps(entry, quantities, ids)
        # What a broken line gives or finds counts as known, so that one slip of the pen is one fault.
        known = {*ids, *found}
        kinds = {name: quantities[name] for name in known if name in quantities}
        unsure = self.doubtful | doubtful(kinds) | (known - quantities.keys())
        slips = SlipReader(entry.owner, self.units, sorts_of(kinds), self.faults, set(found), unsure).read(
            entry.mapping("slips", required=False)
        )
        if text is not None and None not in asks:
            self._all_appear(entry, ids, (text, *(ask for ask in asks if ask)))
        keep = self._keep(entry, kinds, unsure)
        without = self._without(entry, steps)
        repeat, edge = entry.yes("may repeat a given"), entry.yes("on the edge")
        whole = len(givens) == len(ids) and len(steps) == len(found) == len(asks)
        if len(self.faults) > before or text is None or not whole:
            return None
        self._all_used(entry, ids, steps)
        self._slips_in_time(entry, ids, steps, slips)
        return Question(
            **common, text=text, givens=givens, steps=steps, slips=slips, without=without, keep=keep,
            quantities=tuple(own.values()), may_repeat=repeat, on_edge=edge,
        )  # fmt: skip

    def read_example(self, id: Text, node: Mapping) -> Question | None:
        """Fixed numbers to be worked in prose: one value for each given, steps without a prompt."""
        before = len(self.faults)
        entry = Entry(id.value, node, self.faults, ("given", "steps"))
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        givens, ids = self._givens(entry, self.quantities)
        for given in givens:
            if given.is_range or len(given.choices) > 1:
                entry.fault(given.place, f"{given.id}: an example has one value for each given")
        steps = self._steps(entry, self.quantities, ids, asking=False)[0] if entry.has("steps") else ()
        if len(self.faults) > before:
            return None
        return Question(id.value, "example", "", "", (), givens=givens, steps=steps, place=id.place)

    def read_sums(self, entry: Entry) -> tuple[dict[str, Quantity], tuple[Given, ...], tuple[Step, ...], list[str]]:
        """For a picture: own quantities, givens with one value each, steps, and the names of all that is known."""
        own = {q.id: q for q in self._own_quantities(entry)}
        quantities: Known[str, Quantity] = {**self.quantities, **own}
        givens, ids = self._givens(entry, quantities) if entry.has("given") else ((), ())
        for given in givens:
            if given.is_range or len(given.choices) > 1:
                entry.fault(given.place, f"{given.id}: a picture has one value for each given")
        steps, _, found = self._steps(entry, quantities, ids, asking=False) if entry.has("steps") else ((), [], [])
        return own, givens, steps, [*ids, *found]

    def read_law(self, entry: Entry, quantities: Known[str, Quantity], known: tuple[str, ...]) -> Step | None:
        """A step that is worked again and again for a curve: find:, by: and with:, without figures."""
        find, by = entry.text("find"), entry.text("by")
        if not find or not by:
            return None
        name, law = find.value.strip(), by.value.strip()
        if name not in quantities:
            entry.unknown(find.place, name, "quantity", quantities)
            return None
        if law not in self.formulas and law not in self.tables:
            entry.unknown(by.place, law, "formula or table", (*self.formulas, *self.tables))
            return None
        letters = self._letters(entry, quantities, law)
        if letters is None or not self._findable(entry, by.place, name, law, letters, known):
            return None
        return Step(name, law, letters, (), quantities[name].unit, Rounding(figures=4), place=find.place)

    def _own_quantities(self, entry: Entry) -> list[Quantity]:
        made = []
        named = entry.mapping("quantities", required=False)
        for key, value in named.pairs if named else ():
            if not isinstance(value, Mapping):
                entry.fault(value.place, f"quantity {quoted(key.value)} holds name:, unit: and more")
                continue
            if key.value in self.quantities:
                entry.fault(key.place, f"{quoted(key.value)} is a quantity of the bank already: use that one")
            made.append(read_quantity(key, value, self.units, self.faults))
        return made

    def _givens(self, entry: Entry, quantities: Known[str, Quantity]) -> tuple[tuple[Given, ...], tuple[str, ...]]:
        """The givens, and the names of all of them, those that could not be read included."""
        made = []
        named = entry.mapping("given")
        for key, value in named.pairs if named else ():
            text = entry.as_text(value, key.value)
            if key.value not in quantities:
                entry.unknown(key.place, key.value, "quantity", quantities)
            elif text and not quantities[key.value].doubtful:
                read = functools.partial(self._given, key.value, quantities[key.value], key.place)
                given = entry.parsed(text, read)
                if given:
                    made.append(given)
        return tuple(made), named.keys() if named else ()

    def _given(self, id: str, quantity: Quantity, place: Place, text: str) -> Given:
        if re.match(r"\s*any row of\b", text):
            return self._any_row(id, text, quantity, place)
        if quantity.words:
            listed = [part for part, _ in choices(text)] if re.match(r"\s*one of\b", text) else [text.strip()]
            if len(set(listed)) < len(listed):
                raise ExpressionError("a word stands twice", 0)
            return Given(id, quantity.unit, choices=tuple(listed), place=place)
        if re.match(r"\s*from\b", text):
            start, step, count, unit = span(text, self.units)
            at = text.index("from") + 5
            fits((format(start, "f"), unit), quantity.unit, id, at)
            for end in (start, start + (count - 1) * step):
                plausible((format(end, "f"), unit), quantity, at)
            return Given(id, unit, start, step, count, place=place)
        text = called(text, id, self.chain) or text
        listed_at = choices(text) if re.match(r"\s*one of\b", text) else [(text.strip(), 0)]
        amounts = []
        for part, at in listed_at:
            value = amount(part, self.units, at)
            fits(value, quantity.unit, id, at)
            plausible(value, quantity, at)
            amounts.append(value)
        if len({value[1].text for value in amounts}) > 1:
            raise ExpressionError("write all values in one unit", 0)
        numbers = [Decimal(number) for number, _ in amounts]
        if len(set(numbers)) < len(numbers):
            raise ExpressionError("a value stands twice", 0)
        return Given(id, amounts[0][1], choices=tuple(number for number, _ in amounts), place=place)

    def _any_row(self, id: str, text: str, quantity: Quantity, place: Place) -> Given:
        name = re.sub(r"\s*any row of\s*", "", text).strip()
        if name not in self.tables:
            raise UnknownName(f"{quoted(name)} is no table here.{near(name, self.tables)}", max(text.find(name), 0))
        if name in self.broken:
            return Given(id, quantity.unit, place=place)
        table = self.tables[name]
        columns = (*table.inputs, table.output)
        if id not in columns:
            raise ExpressionError(f"table {name} has no column {id}", 0)
        cells = tuple(dict.fromkeys(row[columns.index(id)] for row in table.rows))
        odd = [cell for cell in cells if not quantity.words and not is_number(cell)]
        if odd:
            raise ExpressionError(f"{id} of table {name} holds the word {quoted(odd[0])}: list the values instead", 0)
        return Given(id, quantity.unit, choices=cells, place=place)

    def _steps(
        self, entry: Entry, quantities: Known[str, Quantity], givens: tuple[str, ...], asking: bool = True
    ) -> tuple[tuple[Step, ...], list[Words | None], list[str]]:
        """The steps, what they ask, and the names of all that is found, broken steps included."""
        node = entry.node.get("steps")
        entries = [entry]
        if node is not None:
            for key in _STEP:
                if entry.has(key):
                    entry.fault(entry.place(key), f"{key}: belongs to one of the steps below")
            if not isinstance(node, Listing) or not node.items:
                entry.fault(node.place, "steps: is a list, each with find:, by:, ask: and answer:")
                return (), [None], []
            entries = []
            for item in node.items:
                if isinstance(item, Mapping):
                    entries.append(Entry(entry.owner, item, self.faults, _STEP if asking else _WORKED))
                else:
                    entry.fault(item.place, "a step holds find:, by:, ask: and answer:")
        known = dict.fromkeys(givens)
        made, asks, found = [], [], []
        for one in entries:
            asks.append(self._words(one, "ask", givens) if asking else ())
            find = one.text("find")
            if find and find.value.strip() in known:
                one.fault(find.place, f"{find.value.strip()} is known already: it is given or was found before")
            elif step := self._step(one, find, asks[-1] or (), quantities, tuple(known), entry):
                made.append(step)
            if find:
                known[find.value.strip()] = None
                found.append(find.value.strip())
        return tuple(made), asks, found

    def _step(
        self, entry: Entry, find: Text | None, ask: Words, quantities: Known[str, Quantity],
        known: tuple[str, ...], question: Entry,
    ) -> Step | None:  # fmt: skip
        by = entry.text("by")
        words = find is not None and find.value.strip() in quantities and quantities[find.value.strip()].words
        answer_text = entry.text("answer", required=not words)
        within, unit_asked = entry.text("within", required=False), entry.yes("unit asked")
        if not find or not by:
            return None
        name, law = find.value.strip(), by.value.strip()
        if name not in quantities:
            entry.unknown(find.place, name, "quantity", quantities)
            return None
        quantity = quantities[name]
        asked = self._answer(entry, answer_text, quantity)
        margin = self._within(entry, within, quantity)
        if law not in self.formulas and law not in self.tables:
            entry.unknown(by.place, law, "formula or table", (*self.formulas, *self.tables))
            return None
        letters = self._letters(entry, quantities, law)
        if letters is None or not self._findable(entry, by.place, name, law, letters, known):
            return None
        if words and question.node.get("kind") is None and question.node.get("text") is not None:
            question.fault(find.place, f"{name} is a word: add kind: look-up")
        if not asked:
            return None
        return Step(name, law, letters, ask, asked[1], asked[0], margin, unit_asked, find.place)

    def _answer(self, entry: Entry, text: Text | None, quantity: Quantity) -> tuple[Rounding, Unit] | None:
        """How an answer is rounded and in which unit; None after a fault."""
        if quantity.words:
            if text:
                entry.fault(text.place, f"{quantity.id} is a word, which has no figures: take answer: out")
            return Rounding(figures=3), quantity.unit
        asked = entry.parsed(text, lambda t: answer(t, self.units)) if text else None
        if not text or not asked or quantity.doubtful:
            return None
        unit = asked[1] or quantity.unit
        if not entry.checked(text, lambda: fits(("1", unit), quantity.unit, quantity.id)):
            return None
        if asked[0].figures and unit.kind == "°C":
            entry.fault(text.place, "a Celsius temperature is asked in steps: answer: to 1 °C")
            return None
        return asked[0], unit

    def _within(self, entry: Entry, text: Text | None, quantity: Quantity) -> float | None:
        """The author's own tolerance in SI, or None."""
        value = entry.parsed(text, lambda t: amount(t, self.units)) if text else None
        if not text or not value or quantity.doubtful:
            return None
        bare = bool(quantity.unit.kind) and not value[1].text
        if quantity.words or value[1].dimension != quantity.unit.dimension or si(value) <= 0 or bare:
            entry.fault(text.place, f"within: is an amount above zero in {quantity.unit.text or 'plain numbers'}")
            return None
        return si(value)

    def _letters(self, entry: Entry, quantities: Known[str, Quantity], law: str) -> tuple[tuple[str, str], ...] | None:
        """(letter of the law, quantity of the question) for each letter; None after a fault."""
        letters = law_letters(self.formulas, self.tables, law)
        made = {letter: letter for letter in letters}
        text = entry.text("with", required=False)
        if not text:
            return tuple(made.items())
        try:
            for letter, name, at in _pairs(text.value):
                if law in self.broken:
                    continue
                self._fitting(law, letters, letter, name, quantities, at)
                made[letter] = name
        except ExpressionError as error:
            if not (isinstance(error, UnknownName) and isinstance(self.faults, Partial)):
                entry.fault(text.at(error.at), str(error))
            return None
        return tuple(made.items())

    def _fitting(
        self,
        law: str,
        letters: tuple[str, ...],
        letter: str,
        name: str,
        quantities: Known[str, Quantity],
        at: int,
    ) -> None:
        """Raise ExpressionError unless the quantity `name` can play the letter."""
        if letter not in letters:
            raise ExpressionError(f"{law} has no letter {quoted(letter)}.{near(letter, letters)}", at)
        if name not in quantities:
            raise UnknownName(f"{quoted(name)} is no quantity here.{near(name, quantities)}", at)
        a, b = self.quantities[letter], quantities[name]
        if a.doubtful or b.doubtful:
            return
        kinds = "°C" in (a.unit.kind, b.unit.kind) and a.unit.kind != b.unit.kind
        if a.unit.dimension != b.unit.dimension or kinds or a.words != b.words:
            shown = b.unit.text or "a pure number", a.unit.text or "a pure number"
            raise ExpressionError(f"{letter} is {name}: {shown[0]} cannot stand for {shown[1]}", at)

    def _findable(
        self, entry: Entry, place: Place, name: str, law: str, letters: tuple[tuple[str, str], ...],
        known: tuple[str, ...],
    ) -> bool:  # fmt: skip
        if law in self.broken:
            return True
        ways = [
            (dict(letters)[left], tuple(dict(letters)[n] for n in needs))
            for left, needs in law_ways(self.formulas, self.tables, law)
        ]
        mine = [needs for left, needs in ways if left == name]
        if not mine:
            finds = ", ".join(dict.fromkeys(left for left, _ in ways))
            entry.fault(
                place, f"{law} gives no {name}, only {finds}: find one of these, or say with: which of them is {name}"
            )
            return False
        if not any(set(needs) <= set(known) for needs in mine):
            missing = [n for n in min(mine, key=lambda needs: len(set(needs) - set(known))) if n not in known]
            entry.fault(place, f"to find {name} by {law}, {' and '.join(missing)} must be given or found before")
            return False
        return True

    def _without(self, entry: Entry, steps: tuple[Step, ...]) -> tuple[str, ...]:
        laws = [self.formulas.get(s.by) or self.tables[s.by] for s in steps]
        allowed = (*GENERAL_SLIPS, *(slip.id for law in laws for slip in law.slips))
        made = []
        for line in entry.lines("without", required=False):
            name = line.value.strip()
            if name not in allowed and not any(s.by in self.broken for s in steps):
                entry.fault(line.place, f"{quoted(name)} is no slip that could be switched off.{near(name, allowed)}")
            made.append(name)
        return tuple(made)

    def _keep(
        self, entry: Entry, known: Known[str, Quantity], unsure: collections.abc.Set[str]
    ) -> tuple[Expression, ...]:
        made = []
        for line in entry.lines("keep", required=False):
            condition = entry.parsed(line, lambda text: parse_condition(text, self.units))
            if condition is not None and entry.checked(line, _keeping(condition, known, unsure)):
                made.append(condition)
        return tuple(made)

    def _all_appear(self, entry: Entry, ids: tuple[str, ...], texts: tuple[Words, ...]) -> None:
        shown = {part.id for text in texts for part in text if isinstance(part, Slot)}
        for id in ids:
            if id not in shown:
                entry.fault(entry.place("text"), f"the given {id} never appears: put ({id}) into the text")

    def _slips_in_time(
        self, entry: Entry, ids: tuple[str, ...], steps: tuple[Step, ...], slips: tuple[Slip, ...]
    ) -> None:
        """Every slip of the question can be worked out when its step is asked."""
        before = dict[str, set[str]]()
        known = set(ids)
        for step in steps:
            before[step.find] = set(known)
            known.add(step.find)
        for slip in slips:
            for form in slip.forms:
                later = [name for name in names(form.right) if name not in before[form.left]]
                if later:
                    said = f"slip {slip.id}: {later[0]} is found only after {form.left} is asked"
                    entry.fault(slip.place, said)

    def _all_used(self, entry: Entry, ids: tuple[str, ...], steps: tuple[Step, ...]) -> None:
        if any(step.by in self.broken for step in steps):
            return
        used: set[str] = set()
        known = set(ids)
        for step in steps:
            letters = dict(step.letters)
            for left, needs in law_ways(self.formulas, self.tables, step.by):
                needed = {letters[n] for n in needs}
                if letters[left] == step.find and needed <= known:
                    used |= needed
                    break
            known.add(step.find)
        for id in ids:
            if id not in used:
                entry.fault(entry.place("given"), f"the given {id} is not used by any step: take it out")


def _pairs(text: str) -> collections.abc.Iterator[tuple[str, str, int]]:
    """`P is P_c, R is R_c` as (letter, name, offset). Raises ExpressionError."""
    at = 0
    seen = set()
    for part in text.split(","):
        found = re.fullmatch(r"\s*([A-Za-z][A-Za-z0-9_]*) is ([A-Za-z][A-Za-z0-9_]*)\s*", part)
        here = at + len(part) - len(part.lstrip())
        if not found:
            raise ExpressionError("expected pairs: with: P is P_c, R is R_c", here)
        if found[1] in seen:
            raise ExpressionError(f"{found[1]} stands twice", here)
        seen.add(found[1])
        yield found[1], found[2], here
        at += len(part) + 1


def _keeping(
    condition: Expression, known: Known[str, Quantity], unsure: collections.abc.Set[str]
) -> collections.abc.Callable[[], None]:
    def check() -> None:
        if unsure & set(names(condition)):
            return
        for node in walk(condition):
            if isinstance(node, Name) and node.id not in known:
                message = f"keep: {node.id} is neither given nor found in this question.{near(node.id, known)}"
                raise ExpressionError(message, node.at)
            if isinstance(node, Name):
                check_name(node.id, node.at, known)
        if not names(condition):
            raise ExpressionError("keep: this compares nothing that is given or found", 0)
        check_condition(condition, sorts_of(known))

    return check


def law_letters(formulas: Known[str, Formula], tables: Known[str, Table], law: str) -> tuple[str, ...]:
    """Every quantity a formula or table speaks of, each once."""
    if law in tables:
        return (*tables[law].inputs, tables[law].output)
    return tuple(dict.fromkeys(n for left, needs in law_ways(formulas, tables, law) for n in (left, *needs)))


def law_ways(formulas: Known[str, Formula], tables: Known[str, Table], law: str) -> list[tuple[str, tuple[str, ...]]]:
    """(what is found, what it needs) for every form of a formula or table."""
    if law in tables:
        return [(tables[law].output, tables[law].inputs)]
    formula = formulas[law]
    if formula.cases:
        needs = dict.fromkeys(n for case in formula.cases for n in names(case.when))
        for case in formula.cases:
            needs |= dict.fromkeys(names(case.then.right)) if isinstance(case.then, Equation) else {}
        return [(formula.finds, tuple(needs))]
    return [(form.left, names(form.right)) for form in formula.forms]
