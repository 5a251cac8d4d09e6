"""The chain: its stages in order, its modes, and the one set of numbers of the course.

A number stands under a stage or a mode. Its name is a quantity of the bank, or a name of its own
followed by `as` and the quantity: `R_bleed: 56 kΩ as R_d`. Elsewhere in the bank a number of the
chain is called by `of the chain`, `of the filter`, `R_bleed of the filter`.
"""

from __future__ import annotations

import collections.abc
import re

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, near, quoted
from quizgen.bank.fields import UnknownName, amount, bad_id, fits, plausible
from quizgen.bank.models import Chain, ChainValue, Quantity, Stage
from quizgen.bank.read_quantities import NAME
from quizgen.bank.yaml_reader import Mapping, Text
from quizgen.expression.parse import ExpressionError
from quizgen.expression.units import UnitList

Known = collections.abc.Mapping
WHOLE = "chain"
"""What stands for every group of numbers in `of the chain`."""
_CALL = re.compile(r"\s*(?:([A-Za-z]\w*)\s+)?of the\s+([a-z0-9-]+)\s*", re.ASCII)


class ChainReader:
    """Reads the one chain of a bank. Modules and quantities were read before."""

    def __init__(
        self, units: UnitList, quantities: Known[str, Quantity], modules: Known[str, object], faults: list[Fault]
    ) -> None:
        self.units, self.quantities, self.modules, self.faults = units, quantities, modules, faults

    def read(self, node: Mapping) -> Chain:
        entry = Entry("chain", node, self.faults, ("stages", "modes", "values", "whole"))
        stages = self._stages(entry)
        modes = self._modes(entry, stages)
        return Chain(stages, modes, self._values(entry, (*stages, *modes)), self._modules(entry, "whole", False))

    def _modules(self, entry: Entry, field: str, required: bool = True) -> tuple[str, ...]:
        named = [line for line in entry.lines(field, required) if line.value.strip()]
        for line in named:
            if line.value.strip() not in self.modules:
                entry.unknown(line.place, line.value.strip(), "module", self.modules)
        return tuple(line.value.strip() for line in named)

    def _stages(self, entry: Entry) -> dict[str, Stage]:
        named = entry.mapping("stages")
        pairs = named.pairs if named else ()
        ids = [key.value for key, _ in pairs]
        made: dict[str, Stage] = {}
        for key, value in pairs:
            self._id(entry, key)
            if not isinstance(value, Mapping):
                entry.fault(value.place, f"stage {quoted(key.value)} holds name:, does: and module:")
                continue
            one = Entry(key.value, value, self.faults, ("name", "does", "module", "gives", "beside"))
            taught = self._modules(one, "module")
            beside = one.words("beside", required=False)
            if beside and (beside not in ids or beside == key.value):
                one.fault(one.place("beside"), f"{quoted(beside)} is no other stage.{near(beside, ids)}")
                beside = ""
            gives = one.words("gives", required=False)
            made[key.value] = Stage(key.value, one.words("name"), one.words("does"), taught, gives, beside, key.place)
        for stage in made.values():
            if stage.beside and stage.beside in made and made[stage.beside].beside:
                said = f"stage {quoted(stage.beside)} stands beside the chain itself: name a stage of the chain"
                self.faults.append(Fault(stage.place, stage.id, said))
        return made

    def _modes(self, entry: Entry, stages: Known[str, Stage]) -> dict[str, str]:
        named = entry.mapping("modes", required=False)
        made = {}
        for key, value in named.pairs if named else ():
            self._id(entry, key)
            if key.value in stages:
                entry.fault(key.place, f"{quoted(key.value)} is a stage already: give the mode another id")
            if text := entry.as_text(value, key.value):
                made[key.value] = " ".join(text.value.split())
        return made

    def _id(self, entry: Entry, key: Text) -> None:
        if why := bad_id(key.value):
            entry.fault(key.place, why)
        elif key.value == WHOLE:
            entry.fault(key.place, f"{WHOLE} stands for the whole: choose another id")

    def _values(self, entry: Entry, groups: collections.abc.Sequence[str]) -> dict[str, dict[str, ChainValue]]:
        named = entry.mapping("values", required=False)
        made: dict[str, dict[str, ChainValue]] = {}
        for key, node in named.pairs if named else ():
            if key.value not in groups:
                entry.fault(key.place, f"{quoted(key.value)} is no stage and no mode.{near(key.value, groups)}")
            elif not isinstance(node, Mapping):
                entry.fault(node.place, f"values of {key.value}: one a line, like L_w: 1.0 mH")
            else:
                found = {name.value: self._value(entry, name, value) for name, value in node.pairs}
                made[key.value] = {name: value for name, value in found.items() if value}
        return made

    def _value(self, entry: Entry, name: Text, node: object) -> ChainValue | None:
        text = entry.as_text(node, name.value)  # type: ignore[arg-type]
        if not NAME.fullmatch(name.value):
            entry.fault(name.place, f"{quoted(name.value)} is no name: letters, digits and _, a letter first")
            return None
        return entry.parsed(text, lambda written: self._read(name, written)) if text else None

    def _read(self, name: Text, written: str) -> ChainValue:
        found = re.fullmatch(r"(.*?\S)\s+as\s+(\S+)\s*", written)
        shown, id, at = (found[1], found[2], found.start(2)) if found else (written, name.value, 0)
        if id not in self.quantities:
            told = "" if found else ": write what it is a value of, as in 56 kΩ as R_d"
            raise UnknownName(f"{quoted(id)} is no quantity here{told}.{near(id, self.quantities)}", at)
        quantity = self.quantities[id]
        value = amount(shown, self.units)
        if not quantity.doubtful:
            if quantity.words:
                raise ExpressionError(f"the values of {id} are words: the chain holds numbers", at)
            fits(value, quantity.unit, id)
            plausible(value, quantity)
        return ChainValue(name.value, id, value[0], value[1], name.place)


def called(text: str, id: str, chain: Chain | None) -> str | None:
    """The amount that `[NAME] of the GROUP` stands for, as text; None if the text is no such call.

    id: the quantity the amount is for, and the name where none is written. Raises ExpressionError.
    """
    found = _CALL.fullmatch(text)
    if not found:
        return None
    if chain is None:
        raise UnknownName("this bank has no chain: write the amount", 0)
    name, group = found[1] or id, found[2]
    if group != WHOLE and group not in chain.stages and group not in chain.modes:
        ids = (WHOLE, *chain.stages, *chain.modes)
        raise UnknownName(f"{quoted(group)} is no stage and no mode of the chain.{near(group, ids)}", found.start(2))
    groups = [group] if group != WHOLE else list(chain.values)
    values = {one: chain.values[one][name] for one in groups if name in chain.values.get(one, {})}
    if not values:
        known = {known for one in groups for known in chain.values.get(one, {})}
        raise UnknownName(f"the {group} has no value {quoted(name)}.{near(name, known)}", max(found.start(1), 0))
    if len(values) > 1:
        of, one = " and ".join(values), next(iter(values))
        raise ExpressionError(f"{name} stands in {of}: say of which, like {name} of the {one}", 0)
    value = next(iter(values.values()))
    return f"{value.number} {value.unit.text}".strip()
