"""The acts of the register that only look: list, person, due, board, export, verify."""

from __future__ import annotations

import argparse
import json
import re
from pathlib import Path
from typing import Any

from quizgen.commands import signing
from quizgen.commands.course import open_course
from quizgen.records import ledger, pages, report
from quizgen.records.add import person_code
from quizgen.records.days import day_of
from quizgen.records.ledger import RegisterError
from quizgen.records.standing import CURRENT, DUE
from quizgen.records.verify import verify
from quizgen.records.write import write_whole


def _report(args: argparse.Namespace) -> tuple[report.Data, str]:
    bank, _ = open_course(args.course)
    if not bank.tiers:
        raise RegisterError("the course has no policy: add tiers: and evidence: to its bank")
    with ledger.reading(args.records) as connection:
        return report.report(connection, bank, day_of(signing.now())), bank.course.title


def _json(data: Any) -> str:
    return json.dumps(data, ensure_ascii=False, indent=1)


def everybody(args: argparse.Namespace) -> tuple[int, str]:
    data, _ = _report(args)
    known = {tier["tier"] for one in data["people"] for tier in one["tiers"]}
    if args.tier and known and args.tier not in known:
        raise RegisterError(f"--tier {args.tier[:40]!r} is no tier of the policy: use {', '.join(sorted(known))}")
    for one in data["people"]:
        one["tiers"] = [tier for tier in one["tiers"] if _wanted(tier, args)]
    data["people"] = [one for one in data["people"] if one["tiers"]]
    if args.json:
        return 0, _json(data)
    lines = [f"Checked on {data['checked_on']}."]
    for one in data["people"]:
        lines.append(f"{one['code']}  {one['name']}".rstrip())
        lines += [f"  {_line(tier)}" for tier in one["tiers"]]
    if not data["people"]:
        lines.append("Nobody to show.")
    return 0, "\n".join([*lines, data["note"]])


def _wanted(tier: report.Data, args: argparse.Namespace) -> bool:
    fits = not args.tier or tier["tier"] == args.tier
    return fits and not (args.not_current and tier["state"] in (CURRENT, DUE))


def _line(tier: report.Data) -> str:
    until = f" until {tier['until']}" if tier["until"] else ""
    why = f": {'; '.join(tier['why'])}" if tier["why"] else ""
    return f"{tier['code']} {tier['title']}: {tier['state']}{until}{why}"


def person(args: argparse.Namespace) -> tuple[int, str]:
    data = _person(args, args.code)
    if args.json:
        return 0, _json(data)
    lines = [f"{data['code']}  {data['name']}".rstrip(), *(f"  {_line(tier)}" for tier in data["tiers"])]
    for one in data["records"]:
        lines.append(f"  entry {one['entry']}, {one['at']}: {one['kind']}{_summary(one['content'])}")
    return 0, "\n".join([*lines, data["note"]])


def _summary(content: dict[str, Any] | None) -> str:
    if content is None:
        return " (content erased)"
    told = [str(content[key]) for key in ("title", "saw", "why", "number", "verdict", "note") if content.get(key)]
    who = f" by {content['by']}, {content['role']}" if content.get("by") else ""
    until = "".join(f", counts until {award['until']}" for award in content.get("awards", ()))
    return f": {'; '.join(told)}{who}{until}" if told or who else until


def _person(args: argparse.Namespace, code: str) -> report.Data:
    bank, _ = open_course(args.course)
    with ledger.reading(args.records) as connection:
        ref = ledger.person_of(connection, person_code(code))
        if not ref:
            raise RegisterError(f"{code} is not in the register")
        return report.person(connection, bank, ref, day_of(signing.now()))


def due(args: argparse.Namespace) -> tuple[int, str]:
    found = re.fullmatch(r"([0-9]{1,4})d?", args.within, re.ASCII)
    if not found:
        raise RegisterError(f"--within {args.within[:20]!r} is no number of days: write 60d")
    data, _ = _report(args)
    soon = report.due(data, int(found[1]))
    if args.json:
        return 0, _json({**{k: v for k, v in data.items() if k != "people"}, "due": soon})
    lines = [f"Within {found[1]} days of {data['checked_on']}:"]
    lines += [f"  {one['person']}  {_line(one)}" for one in soon] or ["  nothing"]
    return 0, "\n".join([*lines, data["note"]])


def board(args: argparse.Namespace) -> tuple[int, str]:
    data, title = _report(args)
    write_whole(Path(args.out), pages.board_html(data, f"{title}: register").encode())
    if args.json:
        return 0, _json({**data, "written": args.out})
    return 0, f"Written: {args.out}. Print it, have it countersigned, and hand it to a second person.\n{data['note']}"


def export(args: argparse.Namespace) -> tuple[int, str]:
    folder = Path(args.out)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise RegisterError(f"{folder} is there and not empty: name a new folder with --out")
    if args.code:
        codes = [args.code]
    else:
        with ledger.reading(args.records) as connection:
            codes = [code for code, _ in ledger.people(connection).values()]
    everyone = [_person(args, code) for code in codes]
    folder.mkdir(parents=True, exist_ok=True)
    for one in everyone:
        write_whole(folder / f"{one['code']}.json", (_json(one) + "\n").encode())
        write_whole(folder / f"{one['code']}.html", pages.person_html(one).encode())
    written = [f"{one['code']}.{ending}" for one in everyone for ending in ("json", "html")]
    if args.json:
        return 0, _json({"written": written, "note": report.NOTE})
    said = f"Written to {folder}: {', '.join(written) or 'nothing, nobody is in the register'}."
    return 0, f"{said} These files hold personal data: hand them over, then delete them.\n{report.NOTE}"


def check(args: argparse.Namespace) -> tuple[int, str]:
    if args.head and not re.fullmatch(r"[0-9a-fA-F]{64}", args.head):
        raise RegisterError("--head is the 64 digits and letters of a print")
    with ledger.reading(args.records) as connection:
        breaks = verify(connection, args.head)
        last = ledger.last_entry(connection)
    seq, head = (last.seq, last.head) if last else (0, "")
    if args.json:
        found = [{"entry": one.seq, "says": one.says} for one in breaks]
        return int(bool(breaks)), _json({"entries": seq, "head": head, "breaks": found, "note": report.NOTE})
    if breaks:
        lines = [f"entry {one.seq}: {one.says}" if one.seq else one.says for one in breaks]
        return 1, "\n".join([*lines, f"{len(breaks)} breaks in {seq} entries. Keep this file, and take the backup."])
    compare = " Compare with a printed head to see that nothing was set back."
    held = " The printed head is in it." if args.head else compare
    return 0, f"{seq} entries, all links, signatures and contents hold.{held}\nHead: {head}\n{report.NOTE}"


ACTS = {
    "list": everybody, "person": person, "due": due, "board": board, "export": export, "verify": check,
}  # fmt: skip
