"""Questions of every kind."""

from __future__ import annotations

import collections.abc
import re

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, Place, near, quoted
from quizgen.bank.fields import amount, answer, bad_id, choices, fits, si, span, words
from quizgen.bank.models import (
    Formula,
    Given,
    Option,
    Outcome,
    Quantity,
    Question,
    Slot,
    Source,
    Step,
    Table,
    Words,
)
from quizgen.bank.read_formulas import read_citations, sorts_of
from quizgen.bank.read_quantities import read_quantity
from quizgen.bank.read_slips import GENERAL_SLIPS, SlipReader
from quizgen.bank.yaml_reader import Listing, Mapping, Text
from quizgen.expression.dimension import check_condition
from quizgen.expression.parse import ExpressionError, parse_condition
from quizgen.expression.tree import Equation, Expression, names
from quizgen.expression.units import UnitList

KINDS = ("numeric", "look-up", "choice", "order")
_COMMON = ("kind", "module", "outcome", "text", "papers", "was", "source")
_STEP = ("find", "by", "with", "ask", "answer", "within", "unit asked")
_NUMERIC = (
    *_COMMON, *_STEP, "given", "quantities", "steps", "slips", "without", "keep", "may repeat a given", "on the edge",
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
        sources: Known[str, Source], faults: list[Fault],
    ) -> None:  # fmt: skip
        self.units, self.quantities, self.formulas, self.tables = units, quantities, formulas, tables
        self.outcomes, self.modules, self.sources, self.faults = outcomes, modules, sources, faults

    def read(self, id: Text, node: Mapping) -> Question | None:
        found = node.get("kind")
        kind = found.value.strip() if isinstance(found, Text) else "numeric"
        entry = Entry(id.value, node, self.faults, _ALLOWED.get(kind, _NUMERIC))
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        kind = entry.one_of("kind", KINDS, "numeric")
        module, outcome = self._belongs(entry)
        common = {
            "id": id.value, "kind": kind, "module": module, "outcome": outcome, "place": id.place,
            "papers": entry.one_of("papers", ("none", "half", "only"), "none"),
            "was": tuple(text.value.strip() for text in entry.lines("was", required=False)),
            "citations": read_citations(entry, self.sources, required=False),
        }  # fmt: skip
        if kind == "choice":
            return Question(**common, text=self._words(entry, "text", ()), options=self._options(entry))
        if kind == "order":
            return self._order(entry, common)
        return self._numeric(entry, common)

    def _belongs(self, entry: Entry) -> tuple[str, str]:
        module, outcome = entry.text("module"), entry.text("outcome")
        if module and module.value.strip() not in self.modules:
            name = module.value.strip()
            entry.fault(module.place, f"{quoted(name)} is no module here.{near(name, self.modules)}")
        if outcome:
            name = outcome.value.strip()
            if name not in self.outcomes:
                entry.fault(outcome.place, f"{quoted(name)} is no outcome here.{near(name, self.outcomes)}")
            elif module and self.outcomes[name].module != module.value.strip():
                entry.fault(outcome.place, f"outcome {quoted(name)} belongs to module {self.outcomes[name].module}")
        return (module.value.strip() if module else "", outcome.value.strip() if outcome else "")

    def _words(self, entry: Entry, key: str, givens: collections.abc.Collection[str]) -> Words:
        text = entry.text(key)
        return (entry.parsed(text, lambda t: words(t, givens, self.units)) or ()) if text else ()

    # Choice and order

    def _options(self, entry: Entry) -> tuple[Option, ...]:
        made: list[Option] = []
        for key in ("right", "wrong"):
            node = entry.node.get(key)
            if node is None:
                entry.fault(entry.node.place, f"{key}: is missing: a choice has right: and wrong: options")
                continue
            for item in node.items if isinstance(node, Listing) else (node,):
                if not isinstance(item, Mapping):
                    entry.fault(item.place, f"{key}: holds option: and says:")
                    continue
                one = Entry(entry.owner, item, self.faults, ("option", "says"))
                made.append(Option(one.words("option"), one.words("says"), key == "right"))
        shown = [option.option for option in made]
        for option in dict.fromkeys(o for o in shown if shown.count(o) > 1 and o):
            entry.fault(entry.place("wrong"), f"the option {quoted(option)} stands twice")
        if len(made) > 8:
            entry.fault(entry.place("wrong"), "a choice has at most 8 options")
        return tuple(made)

    def _order(self, entry: Entry, common: dict) -> Question:  # type: ignore[type-arg]
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
            **common, text=self._words(entry, "text", ()), order=steps, either_way=tuple(pairs),
            order_says=tuple(says), right_says=entry.words("says right", required=False),
        )  # fmt: skip

    # Numeric and look-up

    def _numeric(self, entry: Entry, common: dict) -> Question | None:  # type: ignore[type-arg]
        own = self._own_quantities(entry)
        quantities = {**self.quantities, **{q.id: q for q in own}}
        givens = self._givens(entry, quantities)
        ids = tuple(given.id for given in givens)
        text = self._words(entry, "text", ids)
        steps = self._steps(entry, quantities, ids)
        if not steps:
            return None
        known = {*ids, *(step.find for step in steps)}
        slips = SlipReader(
            entry.owner, self.units, {n: s for n, s in sorts_of(quantities).items() if n in known}, self.faults,
            {step.find for step in steps},
        ).read(entry.mapping("slips", required=False))  # fmt: skip
        self._all_appear(entry, ids, (text, *(step.ask for step in steps)))
        self._all_used(entry, ids, steps)
        return Question(
            **common, text=text, givens=givens, steps=steps, slips=slips,
            without=self._without(entry, slips, steps), keep=self._keep(entry, quantities, known),
            quantities=tuple(own), may_repeat=entry.yes("may repeat a given"), on_edge=entry.yes("on the edge"),
        )  # fmt: skip

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

    def _givens(self, entry: Entry, quantities: Known[str, Quantity]) -> tuple[Given, ...]:
        made = []
        named = entry.mapping("given")
        for key, value in named.pairs if named else ():
            text = entry.as_text(value, key.value)
            if key.value not in quantities:
                entry.fault(key.place, f"{quoted(key.value)} is no quantity here.{near(key.value, quantities)}")
            elif text:
                given = entry.parsed(text, lambda t: self._given(key.value, t, quantities[key.value], key.place))
                if given:
                    made.append(given)
        return tuple(made)

    def _given(self, id: str, text: str, quantity: Quantity, place: Place) -> Given:
        if re.match(r"\s*any row of\b", text):
            return self._any_row(id, text, quantity, place)
        if quantity.words:
            listed = [part for part, _ in choices(text)] if re.match(r"\s*one of\b", text) else [text.strip()]
            return Given(id, quantity.unit, choices=tuple(listed), place=place)
        if re.match(r"\s*from\b", text):
            start, step, count, unit = span(text, self.units)
            at = text.index("from") + 5
            fits((str(start), unit), quantity.unit, id, at)
            for end in (start, start + (count - 1) * step):
                self._plausible((format(end, "f"), unit), quantity, at)
            return Given(id, unit, start, step, count, place=place)
        listed_at = choices(text) if re.match(r"\s*one of\b", text) else [(text.strip(), 0)]
        amounts = []
        for part, at in listed_at:
            value = amount(part, self.units, at)
            fits(value, quantity.unit, id, at)
            self._plausible(value, quantity, at)
            amounts.append(value)
        if len({value[1].text for value in amounts}) > 1:
            raise ExpressionError("write all values in one unit", 0)
        return Given(id, amounts[0][1], choices=tuple(number for number, _ in amounts), place=place)

    def _plausible(self, value: tuple[str, object], quantity: Quantity, at: int) -> None:
        number = si(value)  # type: ignore[arg-type]
        if quantity.low is not None and quantity.high is not None and not (
            quantity.low - 1e-12 * abs(quantity.low) <= number <= quantity.high + 1e-12 * abs(quantity.high)
        ):
            raise ExpressionError(f"{value[0]} leaves the range of {quantity.id}: see its between:", at)

    def _any_row(self, id: str, text: str, quantity: Quantity, place: Place) -> Given:
        name = re.sub(r"\s*any row of\s*", "", text).strip()
        if name not in self.tables:
            raise ExpressionError(f"{quoted(name)} is no table here.{near(name, self.tables)}", text.find(name))
        table = self.tables[name]
        columns = (*table.inputs, table.output)
        if id not in columns:
            raise ExpressionError(f"table {name} has no column {id}", 0)
        column = columns.index(id)
        return Given(id, quantity.unit, choices=tuple(dict.fromkeys(row[column] for row in table.rows)), place=place)

    def _steps(self, entry: Entry, quantities: Known[str, Quantity], givens: tuple[str, ...]) -> tuple[Step, ...]:
        node = entry.node.get("steps")
        if node is None:
            entries = [entry]
        elif not isinstance(node, Listing) or not node.items:
            entry.fault(node.place, "steps: is a list, each with find:, by:, ask: and answer:")
            return ()
        else:
            for key in _STEP:
                if entry.has(key):
                    entry.fault(entry.place(key), f"{key}: belongs to one of the steps below")
            entries = []
            for item in node.items:
                if isinstance(item, Mapping):
                    entries.append(Entry(entry.owner, item, self.faults, _STEP))
                else:
                    entry.fault(item.place, "a step holds find:, by:, ask: and answer:")
        known = dict.fromkeys(givens)
        made = []
        for one in entries:
            step = self._step(one, quantities, tuple(known), givens)
            if step:
                if step.find in known:
                    one.fault(one.place("find"), f"{step.find} is known already: it is given or was found before")
                known[step.find] = None
                made.append(step)
        return tuple(made) if len(made) == len(entries) else ()

    def _step(
        self, entry: Entry, quantities: Known[str, Quantity], known: tuple[str, ...], givens: tuple[str, ...]
    ) -> Step | None:
        find, by, ask = entry.text("find"), entry.text("by"), self._words(entry, "ask", givens)
        answer_text = entry.text("answer")
        if not find or not by or not answer_text:
            return None
        name, law = find.value.strip(), by.value.strip()
        if name not in quantities:
            entry.fault(find.place, f"{quoted(name)} is no quantity here.{near(name, quantities)}")
            return None
        if law not in self.formulas and law not in self.tables:
            known_laws = (*self.formulas, *self.tables)
            entry.fault(by.place, f"{quoted(law)} is no formula or table here.{near(law, known_laws)}")
            return None
        letters = self._letters(entry, quantities, law)
        if letters is None or not self._findable(entry, by.place, name, law, letters, known):
            return None
        asked = entry.parsed(answer_text, lambda text: answer(text, self.units))
        if not asked:
            return None
        quantity = quantities[name]
        unit = asked[1] or quantity.unit
        if not quantity.words:
            if not entry.checked(answer_text, lambda: fits(("1", unit), quantity.unit, name)):
                return None
            if asked[0].figures and unit.kind == "°C":
                entry.fault(answer_text.place, "a Celsius temperature is asked in steps: answer: to 1 °C")
        within = None
        if text := entry.text("within", required=False):
            value = entry.parsed(text, lambda t: amount(t, self.units))
            if value and value[1].dimension == quantity.unit.dimension and si(value) > 0:
                within = si(value)
            elif value:
                entry.fault(text.place, f"within: is an amount above zero in {quantity.unit.text or 'plain numbers'}")
        return Step(name, law, letters, ask, unit, asked[0], within, entry.yes("unit asked"), find.place)

    def _letters(self, entry: Entry, quantities: Known[str, Quantity], law: str) -> tuple[tuple[str, str], ...] | None:
        """(letter of the law, quantity of the question) for each letter; None after a fault."""
        letters = law_letters(self.formulas, self.tables, law)
        made = {letter: letter for letter in letters}
        text = entry.text("with", required=False)
        for part in text.value.split(",") if text else ():
            found = re.fullmatch(r"\s*([A-Za-z]\w*) is ([A-Za-z]\w*)\s*", part, re.ASCII)
            if not found:
                entry.fault(text.place, "expected pairs: with: P is P_c, R is R_c")  # type: ignore[union-attr]
                return None
            letter, name = found.groups()
            if letter not in letters:
                entry.fault(text.place, f"{law} has no letter {quoted(letter)}.{near(letter, letters)}")  # type: ignore[union-attr]
                return None
            if name not in quantities:
                entry.fault(text.place, f"{quoted(name)} is no quantity here.{near(name, quantities)}")  # type: ignore[union-attr]
                return None
            a, b = self.quantities[letter], quantities[name]
            kinds = "°C" in (a.unit.kind, b.unit.kind) and a.unit.kind != b.unit.kind
            if a.unit.dimension != b.unit.dimension or kinds or a.words != b.words:
                shown = b.unit.text or "a pure number", a.unit.text or "a pure number"
                entry.fault(text.place, f"{letter} is {name}: {shown[0]} cannot stand for {shown[1]}")  # type: ignore[union-attr]
                return None
            made[letter] = name
        return tuple(made.items())

    def _findable(
        self, entry: Entry, place: Place, name: str, law: str, letters: tuple[tuple[str, str], ...],
        known: tuple[str, ...],
    ) -> bool:  # fmt: skip
        ways = [
            (dict(letters)[left], tuple(dict(letters)[n] for n in needs))
            for left, needs in law_ways(self.formulas, self.tables, law)
        ]
        mine = [needs for left, needs in ways if left == name]
        if not mine:
            finds = ", ".join(dict.fromkeys(left for left, _ in ways))
            entry.fault(place, f"{law} gives no {name}, only {finds}: add it under solved:, or use with:")
            return False
        if not any(set(needs) <= set(known) for needs in mine):
            missing = [n for n in min(mine, key=lambda needs: len(set(needs) - set(known))) if n not in known]
            entry.fault(place, f"to find {name} by {law}, {' and '.join(missing)} must be given or found before")
            return False
        return True

    def _without(self, entry: Entry, own: tuple, steps: tuple[Step, ...]) -> tuple[str, ...]:  # type: ignore[type-arg]
        laws = [self.formulas.get(s.by) or self.tables[s.by] for s in steps]
        allowed = (*GENERAL_SLIPS, *(slip.id for law in laws for slip in law.slips))
        made = []
        for line in entry.lines("without", required=False):
            name = line.value.strip()
            if name not in allowed:
                entry.fault(line.place, f"{quoted(name)} is no slip that could be switched off.{near(name, allowed)}")
            made.append(name)
        return tuple(made)

    def _keep(
        self, entry: Entry, quantities: Known[str, Quantity], known: collections.abc.Collection[str]
    ) -> tuple[Expression, ...]:
        sorts = sorts_of(quantities)
        made = []
        for line in entry.lines("keep", required=False):
            condition = entry.parsed(line, lambda text: parse_condition(text, self.units))
            if condition is None or not entry.checked(line, lambda c=condition: check_condition(c, sorts)):  # type: ignore[misc]
                continue
            unknown = [n for n in names(condition) if n not in known]
            if unknown:
                entry.fault(line.place, f"keep: {unknown[0]} is neither given nor found in this question")
            else:
                made.append(condition)
        return tuple(made)

    def _all_appear(self, entry: Entry, ids: tuple[str, ...], texts: tuple[Words, ...]) -> None:
        shown = {part.id for text in texts for part in text if isinstance(part, Slot)}
        for id in ids:
            if id not in shown:
                entry.fault(entry.place("text"), f"the given {id} never appears: put ({id}) into the text")

    def _all_used(self, entry: Entry, ids: tuple[str, ...], steps: tuple[Step, ...]) -> None:
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


def law_letters(formulas: Known[str, Formula], tables: Known[str, Table], law: str) -> tuple[str, ...]:
    """Every quantity a formula or table speaks of, each once."""
    if law in tables:
        return (*tables[law].inputs, tables[law].output)
    return tuple(dict.fromkeys(n for left, needs in law_ways(formulas, tables, law) for n in (left, *needs)))


def law_ways(
    formulas: Known[str, Formula], tables: Known[str, Table], law: str
) -> list[tuple[str, tuple[str, ...]]]:
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
