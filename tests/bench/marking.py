"""Marking hand-in forms into the register against only reading them; 500 papers of one plan without a repeat."""

from __future__ import annotations

import contextlib
import io
import os
import shutil
import statistics
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from functools import partial
from pathlib import Path

from quizgen import cli
from quizgen.bank.load import load_bank
from quizgen.bank.models import Bank, Plan
from quizgen.cache import Cache
from quizgen.commands import paper_issue, signing
from quizgen.papers.issue import Batch, Candidate, Maker
from quizgen.papers.sheet import made_sheet, read_sheet, sheet_bytes
from quizgen.papers.types import Issue
from quizgen.records import keys
from quizgen.records.ledger import FILE, start
from quizgen.records.signed import SignedStore
from quizgen.variants.pool import counted_pool
from tests.bench.row import Row, seconds
from tests.papers.answers import right
from tests.papers.conftest import chance

COURSE = Path(__file__).parents[2] / "course"
SHEETS = 1000
"""So many that opening the register and the course weighs little, as it does in 10,000."""
DRAWN = 30
"""Papers with numbers of their own; each stands for many candidates, which changes nothing for the marker."""
ROUNDS = 7
"""So often all forms are marked, into a register that holds no mark yet, and read before and after."""
MANY = 500
PASSPHRASE = "three old wooden crates"


def rows() -> list[Row]:
    bank = load_bank(COURSE)
    with tempfile.TemporaryDirectory() as name:
        store = Cache(Path(name) / "kept")
        return [_marking(bank, store, Path(name)), _many(bank, store)]


def _papers(bank: Bank, plan: Plan, store: Cache, count: int) -> Batch:
    today = paper_issue.today()
    candidates = [Candidate(f"B-{n:03}") for n in range(count)]
    return Maker(bank, plan, store).batch(candidates, {}, today, today + timedelta(days=30), chance("bench"))


def _marking(bank: Bank, store: Cache, folder: Path) -> Row:
    """Seconds of `paper mark` for 1,000 forms of 20 questions, kept for good and with a mark sheet for each.

    Reading is measured on both sides of it, so that a machine that is busy for a while is so for both.
    """
    drawn = _papers(bank, bank.plans["safety-gate"], store, DRAWN).issues
    issues = [_as(drawn[n % DRAWN], n) for n in range(SHEETS)]
    forms = []
    for one in issues:
        forms.append(folder / f"{one.number}.json")
        forms[-1].write_bytes(sheet_bytes(made_sheet(one, right(one))))
    issued = folder / "issued"
    marked, read = [], []
    with _cheap_key():
        start(issued, bank.course.id, "T. R.", "trainer", PASSPHRASE, signing.now())
        SignedStore(issued, lambda: PASSPHRASE, signing.now).issue(issues)
        for n in range(ROUNDS):
            # A folder of its own each time: where files were deleted just before, making new ones takes far longer.
            records = folder / f"records-{n}"
            shutil.copytree(issued, records)
            os.sync()  # as after any command: what was issued is on the disk before it is marked
            read.append(_reading(forms))
            marked.append(seconds(partial(_mark, records, forms)))
            read.append(_reading(forms))
    ours, theirs = statistics.median(marked), statistics.median(read)
    size = (records / FILE).stat().st_size
    detail = (
        f"{ours / SHEETS * 1e3:.1f} ms a sheet of {len(issues[0].questions)} questions, reading "
        f"{theirs / SHEETS * 1e3:.2f} ms; 10,000 sheets at this pace {ours / SHEETS * 10_000 / 60:.0f} min; "
        f"{size / SHEETS / 1e3:.0f} KB of register a sheet"
    )
    return Row(f"marking {SHEETS} sheets into the register ÷ reading them", ours / theirs, 25, detail)


def _reading(forms: list[Path]) -> float:
    """Seconds of only reading and checking all forms from their files."""
    return seconds(lambda: [read_sheet(form.read_bytes()) for form in forms])


def _as(issue: Issue, n: int) -> Issue:
    """The same paper for another candidate."""
    signs = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
    return replace(issue, number=f"BNCH-{signs[n // 1024]}{signs[n // 32 % 32]}{signs[n % 32]}2", code=f"B-{n:03}")


@contextlib.contextmanager
def _cheap_key() -> Iterator[None]:
    """Opening the key is one fixed half second a run; it says nothing about marking."""
    cost, keys.COST = keys.COST, 2**4
    before = os.environ.get("QUIZGEN_PASSPHRASE")
    os.environ["QUIZGEN_PASSPHRASE"] = PASSPHRASE
    try:
        yield
    finally:
        keys.COST = cost
        del os.environ["QUIZGEN_PASSPHRASE"]
        if before is not None:
            os.environ["QUIZGEN_PASSPHRASE"] = before


def _mark(records: Path, forms: list[Path]) -> None:
    told = io.StringIO()
    words = ["paper", "mark", *map(str, forms), "--records", str(records), "--course", str(COURSE)]
    with contextlib.redirect_stdout(told):
        code = cli.main(words)
    if code or told.getvalue().count("passed, ") != len(forms):
        raise RuntimeError(f"not every form was marked: {told.getvalue()[-300:]}")


def _many(bank: Bank, store: Cache) -> Row:
    """Repeats among 500 papers: of a question's numbers, of its answer, of a paper's number."""
    batch = _papers(bank, wide(bank, store, MANY), store, MANY)
    given: Counter[tuple[object, ...]] = Counter()
    answers: Counter[tuple[str, str]] = Counter()
    for issue in batch.issues:
        for one in issue.questions:
            if one.variant:
                given[one.id, *one.variant["given"]] += 1
                answers[one.id, one.variant["answers"][-1]["shown"]] += 1
    numbers = Counter(issue.number for issue in batch.issues)
    repeats = sum(sum(counted.values()) - len(counted) for counted in (given, answers, numbers))
    detail = f"{len(answers)} answers all different, expected marks differ by {batch.spread:.2%}"
    return Row(f"repeats in {MANY} papers from one wide plan", repeats, 0, detail)


def wide(bank: Bank, store: Cache, count: int) -> Plan:
    """The whole-chain paper with those questions to calculate that have so many sets of numbers."""
    plan = bank.plans["whole-chain"]
    sections = []
    for section in plan.sections:
        kept = tuple(
            one
            for one in section.questions
            if bank.questions[one.question].kind == "numeric"
            and counted_pool(bank, bank.questions[one.question], store).variants >= count
        )
        if kept:
            sections.append(replace(section, questions=kept[:1], take=1))
    if len(sections) < 2:
        raise RuntimeError(f"fewer than two questions of the bank have {count} sets of numbers")
    return replace(plan, sections=tuple(sections))
