"""Many progress slips to one for each code: files, folders, pasted texts, in any order, some of them twice.

Each code's slip is kept packed, so memory grows with the people and not with what they handed in.
"""

from __future__ import annotations

import marshal
import os
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from quizgen.cohort.progress_slip import Counts, Slip, joined
from quizgen.cohort.read_slip import LONGEST, Refused, read_slips
from quizgen.cohort.slip_message import MARK
from quizgen.variants.slip_names import SlipNames

ENDINGS = (".json", ".txt")
MOST_FILES = 20_000
FROM_INPUT = "-"


@dataclass(frozen=True, slots=True)
class Skipped:
    """Something that could not be taken: where it was, and why with what to do."""

    where: str
    why: str


@dataclass(slots=True)
class Collected:
    """One slip for each code, packed; go through `slips`."""

    packed: dict[str, bytes] = field(default_factory=dict)
    """By code without regard to capitals."""
    skipped: list[Skipped] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    read: int = 0
    doubles: int = 0

    def slips(self) -> Iterator[Slip]:
        """In the order of the codes."""
        for code in sorted(self.packed):
            yield _unpacked(self.packed[code])


def collect(
    sources: Sequence[str], course: str, names: SlipNames, today: date,
    codes: Iterable[str] | None = None, told: Callable[[int, int], None] = lambda done, of: None,
) -> Collected:  # fmt: skip
    """sources: files, folders, texts, or - for what is typed or piped in; codes: of the group, None for anybody's.

    told: is called with how many sources of how many are read.
    """
    made = Collected()
    known = {code.casefold(): code for code in codes} if codes is not None else None
    places = list(_places(sources, made))
    seen: set[tuple[str, str, int]] = set()
    for at, (where, text) in enumerate(places):
        told(at, len(places))
        try:
            content = text if isinstance(text, str) else _content(text)
        except Refused as refused:
            made.skipped.append(Skipped(where, str(refused)))
            continue
        for slip in read_slips(content, course, names, today):
            if isinstance(slip, Refused):
                made.skipped.append(Skipped(where, str(slip)))
            else:
                _take(slip, where, made, known, seen)
    told(len(places), len(places))
    return made


def _take(
    slip: Slip, where: str, made: Collected, known: Mapping[str, str] | None, seen: set[tuple[str, str, int]]
) -> None:
    code = slip.code.casefold()
    if known is not None:
        if code not in known:
            why = f"{slip.code} is not in the group: put the code into the group's file, or ask whose slip this is"
            made.skipped.append(Skipped(where, why))
            return
        slip = _with_code(slip, known[code])
    packed = _packed(slip)
    same = (code, slip.saved, hash(packed))
    if same in seen:
        made.doubles += 1
        return
    seen.add(same)
    made.read += 1
    if slip.ahead:
        dates = "1 date was" if slip.ahead == 1 else f"{slip.ahead} dates were"
        made.notes.append(f"{slip.code}: {dates} after the day of saving and left out: look at that device's clock.")
    if slip.left_out:
        made.notes.append(f"{slip.code}: {slip.left_out} older questions did not fit into the text: the file has them.")
    before = made.packed.get(code)
    made.packed[code] = packed if before is None else _packed(joined(_unpacked(before), slip))


def _places(sources: Sequence[str], made: Collected) -> Iterator[tuple[str, str | Path]]:
    """(what to call it, its text or the file to read)"""
    for source in sources:
        if source == FROM_INPUT:
            yield "what was typed in", sys.stdin.read(LONGEST * 4)
        elif re.search(MARK + r"\d", source) and not os.path.exists(source):
            yield "the text", source
        elif os.path.isdir(source):
            yield from _in_folder(Path(source), made)
        else:
            yield _plain(source), Path(source)


def _in_folder(folder: Path, made: Collected) -> Iterator[tuple[str, str | Path]]:
    others = taken = 0
    for path in sorted(folder.iterdir()):
        if path.name.startswith(".") or path.suffix.lower() not in ENDINGS:
            others += 1
        elif path.is_symlink() or not path.is_file():
            made.skipped.append(Skipped(_plain(path.name), "it is no file of its own: copy the slip itself here"))
        elif taken == MOST_FILES:
            said = f"a folder of more than {MOST_FILES} files is not read to its end: make smaller ones"
            made.skipped.append(Skipped(_plain(folder.name), said))
            return
        else:
            taken += 1
            yield _plain(path.name), path
    if others:
        what = "1 file ends" if others == 1 else f"{others} files end"
        made.notes.append(f"{_plain(folder.name)}: {what} neither in .json nor in .txt and stayed unread.")


def _content(path: Path) -> str:
    """The text of a file. Raises Refused."""
    try:
        if not path.is_file():
            raise Refused("there is no such file: name files, folders, or a text in quotation marks")
        with path.open("rb") as file:
            body = file.read(LONGEST + 1)
        if len(body) > LONGEST:
            raise Refused("it is too large for a progress slip: ask what this is")
        return body.decode("utf-8")
    except UnicodeDecodeError:
        raise Refused("it is no text: ask for the file as the page saved it") from None
    except (OSError, ValueError) as error:
        reason = _plain(getattr(error, "strerror", None) or str(error))
        raise Refused(f"it cannot be opened ({reason}): copy it anew") from None


def _plain(text: str) -> str:
    """A name from outside for the screen: nothing in it can move the cursor or hide."""
    shown = "".join(sign if sign.isprintable() else "?" for sign in text)
    return shown if len(shown) <= 120 else f"…{shown[-119:]}"


def _with_code(slip: Slip, code: str) -> Slip:
    return slip if slip.code == code else replace(slip, code=code)


def _packed(slip: Slip) -> bytes:
    results = {id: tuple(counts) for id, counts in slip.results.items()}
    return marshal.dumps((slip.code, slip.saved, results, dict(slip.recent), dict(slip.days), slip.last, slip.left_out,
                          slip.unknown, slip.gone, slip.ahead, slip.joined))  # fmt: skip


def _unpacked(body: bytes) -> Slip:
    """Only what `_packed` made in this run comes here."""
    code, saved, results, *rest = marshal.loads(body)
    return Slip(code, saved, {id: Counts._make(counts) for id, counts in results.items()}, *rest)
