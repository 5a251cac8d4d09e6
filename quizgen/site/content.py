"""What pages are filled from: made when first asked for, so that a build that changes nothing reads nothing."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from quizgen.cache import Cache

if TYPE_CHECKING:
    from quizgen.bank.models import Bank
    from quizgen.site.cases import Cases
    from quizgen.variants.compile import Compiled
    from quizgen.variants.example import Example
    from quizgen.variants.ready import Ready


class Content:
    """A course for its pages, and which page each question and table stands on in this build.

    Whatever is asked for first may raise BankError with every fault of the bank.
    """

    def __init__(self, folder: Path, store: Cache) -> None:
        self.folder, self.store = folder, store
        self.tables: dict[str, str] = {}
        """The page each table stands on first."""
        self.seen: dict[str, str] = {}
        """The page each question stands on."""

    @cached_property
    def _ready(self) -> Ready:
        from quizgen.variants.ready import ready_course

        return ready_course(self.folder, self.store)

    @property
    def bank(self) -> Bank:
        return self._ready.bank

    @property
    def version(self) -> str:
        return self._ready.version

    @property
    def examples(self) -> Mapping[str, Example]:
        return self._ready.examples

    @cached_property
    def compiled(self) -> dict[str, Compiled]:
        """Questions by id; what is for papers only never reaches the site."""
        return {one["id"]: one for one in self._ready.compiled if one["papers"] != "only"}

    @cached_property
    def cases(self) -> Cases:
        from quizgen.site.cases import cases_of

        return cases_of(self.bank, self.store)

    @cached_property
    def pictures(self) -> dict[str, str]:
        """The figure of each picture."""
        from quizgen.site.pictures import drawn_pictures

        return drawn_pictures(self.bank, self.version, Cache(self.store.folder))

    @cached_property
    def report(self) -> Mapping[str, object]:
        from quizgen.variants.report import counts

        return counts(self.bank, list(self.compiled.values()), [], self._ready.checks)

    def prove(self) -> bool:
        """Make all that can be at fault. Raises BankError with every fault of the bank."""
        return all(made is not None for made in (self._ready, self.cases, self.pictures))

    def take(self, made: Mapping[str, Any], uri: str) -> None:
        """Note what stands on a page that was filled."""
        self.seen.update(dict.fromkeys(made["questions"], uri))
        for id in made["tables"]:
            self.tables.setdefault(id, uri)
