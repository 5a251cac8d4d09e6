"""A course made ready: its bank, its compiled questions, its examples, the count of published values that hold.

When no file of the bank and no line of our code changed, all of it comes from the cache as one value;
otherwise the bank is read, and only what an edit touched is compiled again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from quizgen.bank.faults import BankError
from quizgen.bank.load import load_bank
from quizgen.bank.models import Bank
from quizgen.cache import Cache, content_key, folder_content
from quizgen.variants.compile import Compiled, code_version, compile_bank
from quizgen.variants.example import Example, examples_of
from quizgen.variants.work import checks_cached


@dataclass(frozen=True, slots=True)
class Ready:
    bank: Bank
    compiled: tuple[Compiled, ...]
    examples: dict[str, Example]
    checks: int
    """How many published values hold."""
    version: str
    """A name for the bank as it is."""


def ready_course(course_folder: Path, store: Cache, begun: Callable[[Bank, str], None] | None = None) -> Ready:
    """The course in that folder. `begun` is told a bank that was read and is not made ready yet, and its version.

    Raises BankError with every fault.
    """
    content = folder_content(course_folder / "bank")
    whole = Cache(store.folder)  # counts for itself: `store.made` tells how many questions were compiled
    key = content_key(code_version(), "course", course_folder.name, content)
    kept = whole.get_object(key)
    if isinstance(kept, Ready):
        return kept
    bank = load_bank(course_folder)
    if begun:
        begun(bank, content[:10])
    compiled, faults = compile_bank(bank, store)
    examples, unsolved = examples_of(bank)
    checks, wrong = checks_cached(bank, content, whole)
    if faults or unsolved or wrong:
        raise BankError((*faults, *unsolved, *wrong))
    made = Ready(bank, tuple(compiled), examples, checks, content[:10])
    whole.put_object(key, made)
    return made
