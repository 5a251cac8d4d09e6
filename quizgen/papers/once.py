"""What is worked out of a question once, however many papers ask it."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TypeVar, TypeVarTuple

Of = TypeVarTuple("Of")
Made = TypeVar("Made")
HELD = 2048
"""Answers that are kept."""


def once_for_each(work: Callable[[*Of], Made]) -> Callable[[*Of], Made]:
    """The same function, whose answer for the same objects is kept.

    It goes by which objects they are and never looks at what is in them: a question has thousands of fields, and
    its record is read once for all papers (`shared`). So nobody may change one; a changed copy is another object.
    """
    kept: dict[tuple[int, ...], tuple[tuple[*Of], Made]] = {}

    @wraps(work)
    def found(*of: *Of) -> Made:
        which = tuple(map(id, of))
        if which not in kept:
            if len(kept) >= HELD:
                kept.clear()
            # The objects are kept with their answer: no other one can come to have their ids.
            kept[which] = of, work(*of)
        return kept[which][1]

    return found
