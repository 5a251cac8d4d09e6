"""Terms: words of the trade with their meaning, for the glossary and the pages."""

from __future__ import annotations

from collections.abc import Iterable

from quizgen.bank.entry import Entry
from quizgen.bank.faults import Fault, quoted
from quizgen.bank.fields import bad_id
from quizgen.bank.models import Term
from quizgen.bank.yaml_reader import Mapping, Text


def read_terms(found: Iterable[tuple[Text, Mapping]], faults: list[Fault]) -> dict[str, Term]:
    """All terms by id; a spelling belongs to one term only."""
    made: dict[str, Term] = {}
    taken: dict[str, str] = {}
    for id, node in found:
        entry = Entry(id.value, node, faults, ("term", "also", "says"))
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        term, says = entry.words("term"), entry.words("says")
        also = tuple(word.strip() for word in entry.words("also", required=False).split(",") if word.strip())
        for spelling in (term, *also):
            if spelling.lower() in taken:
                entry.fault(id.place, f"{quoted(spelling)} belongs to the term {taken[spelling.lower()]} already")
            taken.setdefault(spelling.lower(), id.value)
        made[id.value] = Term(id.value, term, also, says, id.place)
    return made
