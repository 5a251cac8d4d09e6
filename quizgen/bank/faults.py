"""What is wrong in a bank, where it stands, and how it is told in one line."""

import difflib
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

LONGEST_EXCERPT = 60
"""Characters of an author's text shown in a fault."""

LONGEST_GUESSED = 80
"""A longer word is no slip of the fingers; comparing it would only cost time."""


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A character of a bank file; line and column count from 1."""

    path: str
    """As shown to the user, with POSIX slashes."""
    line: int
    column: int

    def __str__(self) -> str:
        return f"{_visible(self.path)}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing an author has to mend."""

    place: Place
    owner: str
    """Id of the question, formula, … it belongs to; empty where nobody can be named."""
    message: str
    """What is wrong, what was expected, what to do."""

    def __str__(self) -> str:
        owner = f"{_visible(self.owner)}: " if self.owner else ""
        return f"{self.place}: {owner}{_visible(self.message)}"


class BankError(Exception):
    """A bank that cannot be used, with everything that is wrong in it."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(sorted(faults))
        super().__init__(self.faults)

    def __str__(self) -> str:
        return "\n".join(map(str, self.faults))


def quoted(text: str) -> str:
    """The author's words between quotes: one line, nothing unseen in it, at most 60 characters.

    Control, invisible and odd space characters appear as escapes; a cut excerpt ends in "…".
    """
    # one more than fits tells whether something is cut; the rest of a long text is never looked at
    shown = [_visible(symbol, spaces=True) for symbol in text[: LONGEST_EXCERPT + 1]]
    if sum(map(len, shown)) <= LONGEST_EXCERPT:
        return f'"{"".join(shown)}"'
    room = LONGEST_EXCERPT - 1
    kept = ""
    for symbol in shown:
        if len(kept) + len(symbol) > room:
            break
        kept += symbol
    return f'"{kept}…"'


def near(word: str, known: Iterable[str]) -> str:
    """' Did you mean kW?' for a word that is almost a known one, else ''.

    Words that differ in case only come before words that look alike, and all of them are named.
    """
    words = sorted(set(known) - {""})
    if not word or len(word) > LONGEST_GUESSED or word in words:
        return ""
    same = [other for other in words if other.casefold() == word.casefold()]
    found = same or difflib.get_close_matches(word, words, n=1)
    return f" Did you mean {' or '.join(map(_visible, found))}?" if found else ""


def _visible(text: str, spaces: bool = False) -> str:
    """The text with everything that has no shape of its own escaped; also odd spaces where asked."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_escape(symbol) if _unseen(symbol, spaces) else symbol for symbol in text)


def _unseen(symbol: str, spaces: bool) -> bool:
    kind = unicodedata.category(symbol)
    return kind in {"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"} or (spaces and kind == "Zs" and symbol != " ")


def _escape(symbol: str) -> str:
    return symbol.encode("unicode_escape").decode("ascii")
