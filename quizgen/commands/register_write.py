"""The acts of the register that write: start, signer, passphrase, add, erase."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from quizgen.commands import signing
from quizgen.commands.course import open_course
from quizgen.commands.signing import NEW_PASSPHRASE, passphrase
from quizgen.records import add as adding
from quizgen.records import ledger
from quizgen.records.network import network_kind
from quizgen.records.report import NOTE


def start(args: argparse.Namespace) -> tuple[int, str]:
    bank, _ = open_course(args.course)
    secret = passphrase(twice=True, words="New passphrase: ")
    entry = ledger.start(args.records, bank.course.id, args.name, args.role, secret, signing.now())
    said = [
        f"The register is in {args.records}. Its first signer is {args.name}, {args.role}.",
        f"Head: {entry.head}",
        "Write the head down, and keep a copy of the folder elsewhere. Without the passphrase nobody can add to it.",
        "Next: quizgen register add observation CODE --new --of EVIDENCE --saw … --by … --role … --records …",
    ]
    return 0, _told(args, {"head": entry.head, "signer": entry.signer}, [*_warned(args.records), *said])


def _warned(folder: Path) -> list[str]:
    kind = network_kind(folder)
    if not kind:
        return []
    return [
        f"Careful: this folder lies on a network share ({kind}). Two people writing at once can damage a register "
        "there. Keep it on one computer and copy it."
    ]


def _told(args: argparse.Namespace, data: dict[str, object], lines: list[str]) -> str:
    if args.json:
        return json.dumps({**data, "warnings": _warned(args.records), "note": NOTE}, ensure_ascii=False, indent=1)
    return "\n".join([*lines, NOTE])


def signer(args: argparse.Namespace) -> tuple[int, str]:
    with ledger.writing(args.records, passphrase(), signing.now(), args.signer, args.clock_was_wrong) as pen:
        entry = ledger.admit(
            pen, args.name, args.role, passphrase(NEW_PASSPHRASE, f"New passphrase of {args.name}: ", twice=True)
        )
    said = [f"Entry {entry.seq}: {args.name}, {args.role}, signs from now on, too."]
    return 0, _told(args, {"entry": entry.seq, "head": entry.head}, said)


def change(args: argparse.Namespace) -> tuple[int, str]:
    with ledger.writing(args.records, passphrase(), signing.now(), args.signer, args.clock_was_wrong) as pen:
        ledger.change_passphrase(pen, passphrase(NEW_PASSPHRASE, "New passphrase: ", twice=True))
        who = pen.signer.name
    said = [f"The passphrase of {who} is changed. Older copies of the register still open with the old one."]
    return 0, _told(args, {"signer": who}, said)


def add(args: argparse.Namespace) -> tuple[int, str]:
    bank, _ = open_course(args.course)
    wanted = adding.Wanted(
        **{field: getattr(args, field) for field in adding.Wanted.__dataclass_fields__ if hasattr(args, field)}
    )
    with ledger.writing(args.records, passphrase(), signing.now(), args.signer, args.clock_was_wrong) as pen:
        entry = adding.add(pen, bank, wanted)
    said = [
        *_warned(args.records),
        f"Entry {entry.seq}: {args.kind} for {args.code}, signed by {pen.signer.name}. Head: {entry.head}",
        f"Next: quizgen register person {args.code} --records {args.records}",
    ]
    return 0, _told(args, {"entry": entry.seq, "head": entry.head}, said)


def erase(args: argparse.Namespace) -> tuple[int, str]:
    with ledger.reading(args.records, older=True) as connection:
        _, held = adding.entries_of(connection, args.code)
    lines = [f"  entry {seq}: {kind} of {at}" for seq, kind, at in held]
    if not args.really:
        said = [
            "Nothing is erased yet.",
            f"The code and name of {args.code} would go, and the contents of these entries ({len(held)}):",
            *lines,
            "The entries themselves stay, empty, so that the register can still be verified. Copies and prints are "
            "not touched: erase them yourself. Export first. Then say it again with --why … --really",
        ]
        return 0, _told(args, {"would_erase": [seq for seq, _, _ in held]}, said)
    with ledger.writing(args.records, passphrase(), signing.now(), args.signer, args.clock_was_wrong) as pen:
        entry = adding.erase(pen, args.code, args.why)
    said = [f"Entry {entry.seq}: {args.code} is erased, {len(held)} contents are gone.", f"Head: {entry.head}"]
    return 0, _told(args, {"entry": entry.seq, "erased": [seq for seq, _, _ in held], "head": entry.head}, said)


ACTS = {"start": start, "signer": signer, "passphrase": change, "add": add, "erase": erase}
