"""A course made ready: its bank, its compiled questions, its examples, the count of published values that hold.

When no file of the bank and no line of our code changed, all of it comes from the cache as one value;
otherwise the bank is read, and only what an edit touched is compiled again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from quizgen.bank.collector import paused_collector
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


def ready_course(course_folder: Path, store: Cache, begun: Callable[[Bank, str], bool] | None = None) -> Ready:
    """The course in that folder. `begun` is told a bank that was read and is not made ready yet, and the hash of its
    files; it says whether somebody else will make it ready too, and keep it (`make_ready`).

    Raises BankError with every fault.
    """
    content = folder_content(course_folder / "bank")
    kept = Cache(store.folder).get_object(_key(course_folder, content))
    if isinstance(kept, Ready):
        return kept
    bank = load_bank(course_folder)
    kept_elsewhere = begun(bank, content) if begun else False
    return make_ready(course_folder, bank, content, store, keep=not kept_elsewhere)


def make_ready(course_folder: Path, bank: Bank, content: str, store: Cache, keep: bool = True) -> Ready:
    """A course whose bank was read; `content`: the hash of its files. `keep` it as one value for the next time.

    Raises BankError with every fault.
    """
    whole = Cache(store.folder)  # counts for itself: `store.made` tells how many questions were compiled
    compiled, faults = compile_bank(bank, store)
    examples, unsolved = examples_of(bank)
    checks, wrong = checks_cached(bank, content, whole)
    if faults or unsolved or wrong:
        raise BankError((*faults, *unsolved, *wrong))
    made = Ready(bank, tuple(compiled), examples, checks, version_of(content))
    if keep:
        whole.put_object(_key(course_folder, content), made)
    return made


def kept_bank(course_folder: Path, store: Cache) -> Bank:
    """The bank alone, for who compiles nothing: read once, and then kept as one value until a file of it changes.

    Raises BankError with every fault.
    """
    content = folder_content(course_folder / "bank")
    key = content_key(code_version(), "bank", course_folder.name, content)
    whole = Cache(store.folder)  # as in `make_ready`
    with paused_collector():
        kept = whole.get_object(key)
    if isinstance(kept, Bank):
        return kept
    bank = load_bank(course_folder)
    whole.put_object(key, bank)
    return bank


def version_of(content: str) -> str:
    """A short name for the bank with that content."""
    return content[:10]


def _key(course_folder: Path, content: str) -> str:
    return content_key(code_version(), "course", course_folder.name, content)
