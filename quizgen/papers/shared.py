"""What papers of one plan have in common, read once.

They ask the same questions. Each is a text of some kilobytes, with its laws, that is alike in all of them, and
reading it takes longer than all that marking does with it. So it is cut out of a record's text before that is read,
and what was read of it once is kept.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

PLAIN, WITHIN = '"', '\\"'
"""How the quotation marks of a paper's text stand: in the text itself, and where it is a text in another JSON text."""
_HELD = 512
"""Questions that are kept, about 20 KB each."""


@dataclass(frozen=True, slots=True)
class Shared:
    """The fields of an `Issued` that are the same in every paper; nobody changes them."""

    question: Mapping[str, Any]
    second: tuple[Mapping[str, Any], ...]


def apart(text: str, quote: str) -> tuple[str, list[Shared]]:
    """The text with null for each question and without its laws, and those in order; or as it is, and none.

    A quotation mark inside a text of the paper has one backslash more before it, so what is looked for are names of
    fields. What stands between them is right exactly if it can be read as both values; no other field is called so.
    """
    name, after = f"{quote}question{quote}:", f",{quote}section{quote}:{quote}"
    pieces, found, at = [], [], 0
    while (begin := text.find(name + "{", at)) >= 0:
        end = text.find("]" + after, begin) + 1
        one = _read(text[begin:end], quote) if end else None
        if one is None:
            return text, []
        found.append(one)
        pieces += [text[at:begin], name, "null"]
        at = end
    if text.count(name) != len(found):
        return text, []
    return "".join([*pieces, text[at:]]), found


@lru_cache(maxsize=_HELD)
def _read(text: str, quote: str) -> Shared | None:
    """From both fields as they stand in a record; None if they are anything else."""
    try:
        made = json.loads("{" + (text if quote == PLAIN else json.loads(f'"{text}"')) + "}")
    except (ValueError, RecursionError):
        return None
    match made:
        case {"question": dict() as question, "second": list() as second, **more} if not more:
            return Shared(question, tuple(second))
    return None
