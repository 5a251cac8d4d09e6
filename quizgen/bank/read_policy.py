"""What a shop asks of its people: pieces of evidence, and the tiers that rest on them."""

from __future__ import annotations

import collections.abc
import re

from quizgen.bank.entry import Entry, Partial
from quizgen.bank.faults import Fault, near, quoted
from quizgen.bank.fields import bad_id
from quizgen.bank.models import Evidence, Tier
from quizgen.bank.yaml_reader import Mapping, Text

KINDS = {"paper": "paper", "observed": "observation", "appointed": "appointment"}
"""The field that says what kind of evidence it is, and the kind."""
MOST_MONTHS = 120

Found = collections.abc.Iterable[tuple[Text, Mapping]]


def read_evidence(found: Found, faults: list[Fault]) -> dict[str, Evidence]:
    made: dict[str, Evidence] = {}
    for id, node in found:
        entry = Entry(id.value, node, faults, ("title", *KINDS, "by", "months"))
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        given = [field for field in KINDS if entry.has(field)]
        if len(given) != 1:
            entry.fault(id.place, "say what it is with one line: paper: PLAN, observed: … or appointed: …")
        field = given[0] if given else "observed"
        text = entry.words(field, required=bool(given))
        by = tuple(line.value.strip() for line in entry.lines("by", required=False))
        if by and field == "paper":
            entry.fault(entry.place("by"), "a paper is marked by its plan: by: belongs to observed: and appointed:")
        made[id.value] = Evidence(
            id.value,
            entry.words("title"),
            KINDS[field],
            text if field == "paper" else "",
            "" if field == "paper" else text,
            by,
            _months(entry),
            id.place,
        )
    return made


def _months(entry: Entry) -> int:
    text = entry.text("months")
    if text is None:
        return 0
    value = text.value.strip()
    if re.fullmatch(r"[1-9]\d{0,2}", value, re.ASCII) and int(value) <= MOST_MONTHS:
        return int(value)
    said = f"{quoted(value)} is no number of months from 1 to {MOST_MONTHS}: write months: 12"
    entry.fault(text.place, said)
    return 0


def read_tiers(found: Found, evidence: collections.abc.Mapping[str, Evidence], faults: list[Fault]) -> dict[str, Tier]:
    """Tiers in the order of the file; one that comes after another stands below it in the file."""
    made: dict[str, Tier] = {}
    for id, node in found:
        entry = Entry(id.value, node, faults, ("code", "title", "says", "needs", "after"))
        if why := bad_id(id.value):
            entry.fault(id.place, why)
        for field, known, what in (("needs", evidence, "evidence"), ("after", made, "tier above this one")):
            for line in entry.lines(field, required=False):
                if line.value.strip() not in known and not isinstance(faults, Partial):
                    said = f"{field}: {quoted(line.value.strip())} is no {what}.{near(line.value.strip(), known)}"
                    entry.fault(line.place, said)
        needs = tuple(line.value.strip() for line in entry.lines("needs", required=False))
        after = tuple(line.value.strip() for line in entry.lines("after", required=False))
        if not needs and not after:
            entry.fault(id.place, "a tier that needs nothing would be anybody's: add needs: or after:")
        made[id.value] = Tier(
            id.value, entry.words("code"), entry.words("title"), entry.words("says"), needs, after, id.place
        )
    return made
