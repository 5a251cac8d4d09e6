"""paper issue: papers drawn, kept in the records, and only then written for the candidates."""

from __future__ import annotations

import argparse
import json
import secrets
from datetime import date, timedelta
from pathlib import Path

from quizgen.bank.faults import near, quoted
from quizgen.commands import signing
from quizgen.commands.course import open_course
from quizgen.papers.attempts import next_attempt
from quizgen.papers.issue import Candidate, Maker, PaperError
from quizgen.papers.print import signoff_html
from quizgen.papers.types import CODE
from quizgen.records.signed import opened
from quizgen.records.write import write_whole

random = secrets.token_bytes
"""Where chance comes from; tests put their own here."""


def today() -> date:
    """The day on this machine's clock; tests put another one here."""
    return date.today()


def issue(args: argparse.Namespace) -> tuple[int, str]:
    bank, cache = open_course(args.course)
    if args.plan not in bank.plans:
        raise PaperError(f"{quoted(args.plan)} is no plan here.{near(args.plan, bank.plans)}")
    plan, day = bank.plans[args.plan], today()
    until = _day(args.valid_until) if args.valid_until else day + timedelta(days=30)
    extra = dict(_extra(text, args.codes) for text in args.extra)
    for code in args.large:
        _named(code, args.codes, "--large")
    for code in args.codes:
        if not CODE.fullmatch(code):
            raise PaperError(f"{quoted(code)} is no code: letters, digits and -, 20 at most, like A-07; no names here")
    if len({code.casefold() for code in args.codes}) < len(args.codes):
        raise PaperError("a code is named twice: each candidate gets one paper at a time")
    out = Path(args.out)
    maker = Maker(bank, plan, cache)
    with opened(args.records, signing.passphrase, signing.now, args.signer, bank.evidence) as store:
        had = store.papers(plan.id)
        candidates = []
        for code in args.codes:
            own = [one for one in had if one.code.casefold() == code.casefold()]
            candidates.append(Candidate(code, extra.get(code, 0), code in args.large,
                                        next_attempt(plan, code, own, day)))  # fmt: skip
        used = store.given({one.question for section in plan.sections for one in section.questions})
        taken = [one.number for one in store.papers()]
        batch = maker.batch(candidates, used, day, until, random, taken)
        out.mkdir(parents=True, exist_ok=True)
        store.issue(batch.issues)
        # A page that could not be written is no loss: its paper stays unused, and the message says so.
        names = []
        for one, page in zip(batch.issues, batch.pages, strict=True):
            names.append(f"{one.code}-{one.number}.html")
            write_whole(out / names[-1], page.encode())
        signoff = f"sign-off-{plan.id}-{batch.issues[0].number}.html"
        write_whole(out / signoff, signoff_html(batch.issues).encode())
    if args.json:
        papers = [{"number": one.number, "code": one.code, "attempt": one.attempt, "file": name}
                  for one, name in zip(batch.issues, names, strict=True)]  # fmt: skip
        data = {"plan": plan.id, "papers": papers, "sign_off": signoff, "valid_until": until.isoformat(),
                "spread": batch.spread}  # fmt: skip
        return 0, json.dumps(data, ensure_ascii=False, indent=1)
    lines = [f"{plan.title}: {len(names)} papers of {batch.issues[0].of} marks, valid until {until}."]
    lines += [f"  {one.code}  paper {one.number}, attempt {one.attempt} of {plan.attempts}, {one.minutes} min: {name}"
              for one, name in zip(batch.issues, names, strict=True)]  # fmt: skip
    lines += [
        f"Expected marks differ by {100 * batch.spread:.1f} % of all marks (2 % is the limit); "
        f"texts have {batch.words[0]} to {batch.words[1]} words.",
        f"In {out}: the pages and {signoff}. The records hold the keys: keep {args.records} away from candidates.",
        "Next: the candidate opens the page, or you print it. Then: quizgen paper mark FILE --records "
        f"{args.records}, or for paper: quizgen paper enter NUMBER --records {args.records}",
    ]
    return 0, "\n".join(lines)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise PaperError(f"--valid-until {quoted(text)} is no day: write it as 2026-11-25") from None


def _extra(text: str, codes: list[str]) -> tuple[str, int]:
    code, _, percent = text.rpartition("=")
    if not percent.isascii() or not percent.isdigit() or len(percent) > 3:
        raise PaperError(f"--extra {quoted(text)}: write the code and per cent, like A-07=25")
    _named(code, codes, "--extra")
    return code, int(percent)


def _named(code: str, codes: list[str], option: str) -> None:
    if code not in codes:
        raise PaperError(f"{option} {quoted(code)}: no paper is issued for this code: name it with --for as well")
