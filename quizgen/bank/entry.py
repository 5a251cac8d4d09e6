"""One entry of a bank file under the reader's eye: which keys it has, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from quizgen.bank.faults import Fault, Place, near, quoted
from quizgen.bank.fields import UnknownName
from quizgen.bank.yaml_reader import Listing, Mapping, Node, Text
from quizgen.expression.parse import ExpressionError

Result = TypeVar("Result")

MAX_TEXT = 4000
MAX_STRANGERS = 20
"""Unknown fields of one entry that are told one by one."""


class Partial(list[Fault]):
    """The faults of a bank of which a file could not be read.

    A name that is not found may stand in that file, so nobody is told that it is missing.
    """


class Entry:
    """Reads the fields of one mapping and notes every fault instead of stopping at the first."""

    def __init__(self, owner: str, node: Mapping, faults: list[Fault], allowed: Iterable[str]) -> None:
        self.owner, self.node, self.faults = owner, node, faults
        known = tuple(allowed)
        strangers = [key for key, _ in node.pairs if key.value not in known]
        for key in strangers[:MAX_STRANGERS]:
            expected = near(key.value, known) or f" Expected: {', '.join(known)}."
            self.fault(key.place, f"{quoted(key.value)} is no field here.{expected}")
        if len(strangers) > MAX_STRANGERS:
            self.fault(strangers[MAX_STRANGERS].place, f"{len(strangers) - MAX_STRANGERS} more are no fields here")

    def fault(self, place: Place, message: str) -> None:
        self.faults.append(Fault(place, self.owner, message))

    def unknown(self, place: Place, name: str, what: str, known: Iterable[str]) -> None:
        """The fault of a name that stands nowhere."""
        if not isinstance(self.faults, Partial):
            self.fault(place, f"{quoted(name)} is no {what} here.{near(name, known)}")

    def has(self, key: str) -> bool:
        return self.node.get(key) is not None

    def place(self, key: str) -> Place:
        found = self.node.get(key)
        return found.place if found is not None else self.node.place

    def missing(self, key: str) -> None:
        self.fault(self.node.place, f"{key}: is missing: add a line {key}: …")

    def text(self, key: str, required: bool = True) -> Text | None:
        """The text of a field, or None with a fault if it is missing, empty or no text."""
        found = self.node.get(key)
        if found is None:
            if required:
                self.missing(key)
            return None
        return self.as_text(found, key)

    def as_text(self, node: Node, what: str) -> Text | None:
        if not isinstance(node, Text):
            self.fault(node.place, f"{what}: is a text, not {kind_of(node)}: write it after the colon or under >")
            return None
        if not node.value.strip():
            self.fault(node.place, f"{what}: is empty: write a text or leave the line out")
            return None
        if len(node.value) > MAX_TEXT:
            self.fault(node.place, f"{what}: is longer than {MAX_TEXT} characters: make it shorter")
            return None
        return node

    def words(self, key: str, required: bool = True, default: str = "") -> str:
        """The field as one line of plain words."""
        found = self.text(key, required)
        return " ".join(found.value.split()) if found else default

    def lines(self, key: str, required: bool = True) -> list[Text]:
        """A field that holds one text or a list of texts."""
        found = self.node.get(key)
        if isinstance(found, Listing):
            made = [self.as_text(item, key) for item in found.items]
            if not found.items and required:
                self.fault(found.place, f"{key}: is an empty list: write at least one line")
            return [text for text in made if text]
        one = self.text(key, required)
        return [one] if one else []

    def mapping(self, key: str, required: bool = True) -> Mapping | None:
        found = self.node.get(key)
        if found is None:
            if required:
                self.missing(key)
            return None
        if not isinstance(found, Mapping):
            self.fault(found.place, f"{key}: holds named entries, one a line, each with its colon")
            return None
        return found

    def one_of(self, key: str, known: Iterable[str], default: str) -> str:
        found = self.text(key, required=False)
        if not found:
            return default
        value, known = found.value.strip(), tuple(known)
        if value not in known:
            expected = near(value, known)
            self.fault(found.place, f"{quoted(value)} is no {key}: use {' / '.join(known)}.{expected}")
            return default
        return value

    def yes(self, key: str) -> bool:
        return self.one_of(key, ("yes", "no"), "no") == "yes"

    def parsed(self, text: Text, read: Callable[[str], Result]) -> Result | None:
        """What `read` makes of the text; its ExpressionError becomes a fault at its place."""
        try:
            return read(text.value)
        except ExpressionError as error:
            self._expression_fault(text, error)
            return None

    def checked(self, text: Text, check: Callable[[], None]) -> bool:
        """Run a check of something parsed from `text`; False with a fault if it fails."""
        try:
            check()
            return True
        except ExpressionError as error:
            self._expression_fault(text, error)
            return False

    def _expression_fault(self, text: Text, error: ExpressionError) -> None:
        if not (isinstance(error, UnknownName) and isinstance(self.faults, Partial)):
            self.fault(text.at(error.at), str(error))


def kind_of(node: Node) -> str:
    return {Text: "a text", Listing: "a list", Mapping: "a group of fields"}[type(node)]
