"""What papers ask of the records: operations as whole transactions, and queries."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from contextlib import AbstractContextManager
from typing import Protocol

from quizgen.papers.types import Issue, Mark, Refusal, Sheet, Standing, Void


class StoreError(Exception):
    """The records cannot be used as asked; one line that says what to do. Nothing was changed."""


class Doubled(StoreError):
    """The paper was issued, or returned, before."""


class Store(Protocol):
    """One writer at a time. Each operation is kept whole or not at all, and raises StoreError."""

    def issue(self, issues: Sequence[Issue]) -> None:
        """Keep issued papers, all of them or none. Raises Doubled for a number that exists."""

    def return_and_mark(self, sheet: Sheet, raw: bytes, mark: Mark) -> None:
        """Keep what was handed in, byte for byte, with its mark. Raises Doubled for a paper already returned."""

    def void(self, void: Void) -> None:
        """Keep the decision and every new mark. Raises Doubled where the question is void already."""

    def refuse(self, refusal: Refusal) -> None:
        """Keep what was offered and why it was not taken."""

    def batch(self, numbers: Collection[str] = ()) -> AbstractContextManager[None]:
        """One transaction around operations and looks: kept whole at its end; one that raises takes itself back."""

    def issue_of(self, number: str) -> Issue | None: ...

    def is_returned(self, number: str) -> bool: ...

    def sheet_of(self, number: str) -> Sheet | None: ...

    def marks_of(self, number: str) -> tuple[Mark, ...]:
        """Every mark of a paper, the one that counts last."""

    def papers(self, plan: str = "", code: str = "") -> tuple[Standing, ...]:
        """Papers in the order of issue; of one plan or candidate if asked."""

    def voids(self, plan: str) -> tuple[Void, ...]: ...

    def refusals(self) -> tuple[Refusal, ...]: ...

    def given(self, questions: Collection[str]) -> Mapping[str, Sequence[tuple[str, ...]]]:
        """For each question (printed givens …, the answer as shown) of every issued paper: none is used twice."""
