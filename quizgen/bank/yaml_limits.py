"""How much of a bank file is read, and how many of its faults are told."""

from quizgen.bank.faults import Fault

LARGEST_FILE = 1_000_000
"""Bytes."""

LONGEST_LINE = 20_000
"""Characters."""

LONGEST_NAME = 1_000
"""Characters of a field's name; YAML looks no further than 1024 for its colon."""

DEEPEST = 12
"""Fields and lists within each other; the fields of the file itself count as 1."""

LISTED = 20
"""Faults of one kind told one by one; the rest of that kind are counted."""


def few(faults: list[Fault]) -> list[Fault]:
    """The first of many faults of one kind, and how many more there are."""
    if len(faults) <= LISTED + 1:
        return faults
    following = faults[LISTED]
    count = len(faults) - LISTED
    message = f"{following.message} ({count - 1} more like this, the last in line {faults[-1].place.line})"
    return [*faults[:LISTED], Fault(following.place, "", message)]
