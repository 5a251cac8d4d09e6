"""Keep the register: who showed what, until when it counts, and who may be considered for which work."""

from __future__ import annotations

import argparse
from pathlib import Path

NAME, HELP = "register", "the register of evidence: start, add, list, person, due, board, export, erase, verify"

STATES = "Exit codes: 0 all well, 1 refused or a break was found, 2 the command was not understood."

AFTER = {
    "start": "write the printed head down, then quizgen register add observation CODE --new …",
    "signer": "tell the new signer to keep the passphrase apart from yours; quizgen register verify shows the entry "
    "holds.",
    "passphrase": "keep the new one where only its signer finds it; older copies still open with the old one.",
    "add": "quizgen register person CODE shows what the entry changed.",
    "list": "quizgen register person CODE shows why a state is what it is.",
    "person": "quizgen register add enters what is missing, once it was seen.",
    "due": "plan the work again with each person named, then quizgen register add observation, or renewal for a "
    "suspension that ends.",
    "board": "print it, have it countersigned, and hand it to a second person.",
    "export": "hand the files over, then delete them: they hold personal data.",
    "erase": "quizgen register verify shows that the rest still holds; erase copies and prints yourself.",
    "verify": "compare the head with one that was printed; a new print: quizgen register board.",
}
"""What comes after each act, for its help."""


def arguments(parser: argparse.ArgumentParser) -> None:
    acts = parser.add_subparsers(dest="act", metavar="ACT", required=True)

    own = _act(acts, "start", "make a register and its first signer")
    own.add_argument("--name", required=True, metavar="NAME", help="who signs")
    own.add_argument("--role", required=True, metavar="ROLE", help="in which role, like trainer")

    own = _act(acts, "signer", "add a second signer, with a passphrase of their own (QUIZGEN_NEW_PASSPHRASE)")
    own.add_argument("--name", required=True, metavar="NAME", help="the new signer")
    own.add_argument("--role", required=True, metavar="ROLE")
    _pen(own)

    own = _act(acts, "passphrase", "change a signer's passphrase (the new one: prompt or QUIZGEN_NEW_PASSPHRASE)")
    _pen(own)

    own = _act(acts, "add", "enter an observation, appointment, suspension or renewal")
    own.add_argument("kind", choices=("observation", "appointment", "suspension", "renewal"))
    own.add_argument("code", metavar="CODE", help="the person's code")
    own.add_argument("--by", required=True, metavar="NAME", help="who saw, appointed, suspended")
    own.add_argument("--role", required=True, metavar="ROLE", help="in which role, as the policy names it")
    own.add_argument("--of", default="", metavar="ID", help="the piece of evidence, by its id in the policy")
    own.add_argument("--saw", default="", metavar="TEXT", help="what was seen, in one line")
    own.add_argument("--on", default="", metavar="DAY", help="the day it happened (default: today)")
    own.add_argument("--tier", default="", metavar="ID", help="suspension: of which tier (default: all)")
    own.add_argument("--why", default="", metavar="TEXT", help="suspension: why")
    own.add_argument("--until", default="", metavar="DAY", help="suspension: its last day (default: until lifted)")
    own.add_argument("--lifts", default="", metavar="ENTRY", help="renewal: the suspension that ends")
    own.add_argument("--note", default="", metavar="TEXT")
    own.add_argument("--new", action="store_true", help="the person is not in the register yet")
    own.add_argument("--name", default="", metavar="NAME", help="with --new: their name, kept apart from the chain")
    _pen(own)

    own = _act(acts, "list", "everybody with every tier, its state, and why not; --tier shows who may not, and why")
    own.add_argument("--tier", default="", metavar="ID", help="one tier only")
    own.add_argument("--not-current", action="store_true", help="only those who may not be considered today")

    own = _act(acts, "person", "all that is recorded of one person")
    own.add_argument("code", metavar="CODE")

    own = _act(acts, "due", "what runs out soon or has run out")
    own.add_argument("--within", default="60d", metavar="DAYS", help="how many days ahead, like 60d (default)")

    own = _act(acts, "board", "a page to print: people and tiers, checked today")
    own.add_argument("--out", required=True, metavar="FILE", help="the HTML file to write")

    own = _act(acts, "export", "one person's records, or everybody's, as JSON and as pages to read")
    own.add_argument("code", nargs="?", default="", metavar="CODE", help="one person (default: all)")
    own.add_argument("--out", required=True, metavar="FOLDER", help="an empty or new folder")

    own = _act(acts, "erase", "take a person's data out; shows what would go until you say --really")
    own.add_argument("code", metavar="CODE")
    own.add_argument("--why", default="", metavar="TEXT", help="the reason; it stays in the register")
    own.add_argument("--really", action="store_true", help="do it: what is erased cannot be brought back")
    _pen(own)

    own = _act(acts, "verify", "replay the whole register and name every break")
    own.add_argument("--head", default="", metavar="HEAD", help="a head from an earlier print, to be found again")


def _act(acts: argparse._SubParsersAction[argparse.ArgumentParser], name: str, words: str) -> argparse.ArgumentParser:
    own = acts.add_parser(name, help=words, description=words, epilog=f"Next: {AFTER[name]} {STATES}")
    own.add_argument("--records", required=True, metavar="FOLDER", help="the folder of the register")
    own.add_argument("--course", metavar="FOLDER", default=argparse.SUPPRESS, help="the course's folder")
    own.add_argument("--json", action="store_true", default=argparse.SUPPRESS, help="print data for a program")
    return own


def _pen(own: argparse.ArgumentParser) -> None:
    own.add_argument("--signer", default="", metavar="NAME", help="who signs, where there are several")
    own.add_argument("--clock-was-wrong", action="store_true", help="the last entry carries a wrong, later time")


def run(args: argparse.Namespace) -> tuple[int, str]:
    # The store and its libraries are loaded only when the register is asked for.
    from quizgen.commands import register_look, register_write
    from quizgen.records.keys import PassphraseError
    from quizgen.records.ledger import RegisterError

    args.records = Path(args.records)
    acts = {**register_write.ACTS, **register_look.ACTS}
    try:
        code, text = acts[args.act](args)
    except (RegisterError, PassphraseError) as error:
        from quizgen.commands.course import CourseError

        raise CourseError(str(error)) from None
    return code, text
