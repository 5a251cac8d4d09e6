"""What pages are filled from: made when first asked for, so that a build that changes nothing reads nothing."""

from __future__ import annotations

import gc
from collections.abc import Mapping
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from quizgen.ahead import Ahead
from quizgen.bank.collector import paused_collector
from quizgen.cache import Cache

if TYPE_CHECKING:
    from quizgen.bank.models import Bank
    from quizgen.site.cases import Cases
    from quizgen.variants.compile import Compiled
    from quizgen.variants.example import Example
    from quizgen.variants.ready import Ready


WORTH = 40
"""So many questions have to be compiled before a second process pays."""
_OF_OTHERS = 2
"""So many of the second process's jobs, the first of them, are none of making the course ready."""


class Content:
    """A course for its pages, and which page each question and table stands on in this build.

    Whatever is asked for first may raise BankError with every fault of the bank.
    """

    def __init__(self, folder: Path, store: Cache) -> None:
        self.folder, self.store, self.ahead = folder, store, Ahead()
        self.tables: dict[str, str] = {}
        """The page each table stands on first."""
        self.seen: dict[str, str] = {}
        """The page each question stands on."""
        self.case_pages: dict[str, str] = {}
        """The page each case stands on."""

    @cached_property
    def _ready(self) -> Ready:
        from quizgen.variants.ready import ready_course

        try:
            return ready_course(self.folder, self.store, self._work_ahead)
        except BaseException:
            self.ahead.end()
            raise

    def _work_ahead(self, bank: Bank, content: str) -> bool:
        """Begin at the other end: cases, pictures, and questions from the last; then keep the course as a whole."""
        from quizgen.site.cases import cases_of
        from quizgen.variants.compile import compile_cached
        from quizgen.variants.ready import make_ready, version_of

        def last_first() -> None:
            for question in reversed([*bank.questions.values()]):
                compile_cached(bank, question, self.store)

        jobs = (
            partial(cases_of, bank, self.store),
            partial(_pictures, bank, version_of(content), self.store),
            last_first,
            partial(make_ready, self.folder, bank, content, self.store),
        )
        return len(bank.questions) >= WORTH and self.ahead.start(jobs)

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
        return _pictures(self.bank, self.version, self.store)

    @cached_property
    def report(self) -> Mapping[str, object]:
        from quizgen.variants.report import counts

        return counts(self.bank, list(self.compiled.values()), [], self._ready.checks)

    def prove(self) -> bool:
        """Make all that can be at fault. Raises BankError with every fault of the bank."""
        try:
            with paused_collector():
                ready = self._ready
                self.ahead.wait(_OF_OTHERS)
                made = all(one is not None for one in (ready, self.cases, self.pictures))
            if not gc.get_freeze_count():
                # A bank lives to the end of the build, and looking through it for cycles would cost half a second.
                # Once in a process only: what a server no longer needs must be found again.
                gc.freeze()
            return made
        except BaseException:
            self.ahead.end()
            raise

    def is_twice(self, made: Mapping[str, Any]) -> bool:
        """Whether a question or case of a filled page stands on an earlier one."""
        return bool(self.seen.keys() & made["questions"] or self.case_pages.keys() & made["cases"])

    def take(self, made: Mapping[str, Any], uri: str) -> None:
        """Note what stands on a page that was filled."""
        self.seen.update(dict.fromkeys(made["questions"], uri))
        self.case_pages.update(dict.fromkeys(made["cases"], uri))
        for id in made["tables"]:
            self.tables.setdefault(id, uri)


def _pictures(bank: Bank, version: str, store: Cache) -> dict[str, str]:
    from quizgen.site.pictures import drawn_pictures

    return drawn_pictures(bank, version, Cache(store.folder))
