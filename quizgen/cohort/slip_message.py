"""A progress slip as text for a message: at most 1,500 signs for a whole course, with a check sum.

The text is one line: words for people, then `SLIP2`, the data, and a point. `quizgen/web/script/slip.js` writes it;
here it is read, and written for the tests. Questions, modules and written slips go by short names
(`variants/short_names.py`) and their two salts, so that it reads whatever was changed in the course since.
`SLIP1` had no count of a module's days; it still reads.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from quizgen.cohort.pack import PLACES, Packed, Reader, Writer, bytes_of, text_of
from quizgen.cohort.progress_slip import LATELY, MOST, Counts, Slip, days_alone, last_answer, last_day, recent_of
from quizgen.variants.short_names import LEAST_QUESTION_BITS, LEAST_SLIP_BITS, MOST_BITS, Salted, long_name
from quizgen.variants.slip_names import Salts, SlipNames, module_name

MARK, VERSION = "SLIP", 2
"""What stands before the data, and the number behind it."""
LONGEST = 1500
MOST_QUESTIONS = 4000
FIRST_DAY = date(2000, 1, 1)
LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-"
"""Of codes."""
GENERALS = ("power-of-ten", "sign", "factor-2", "root-2", "root-3", "factor-60", "factor-3600", "reciprocal",
            "one-minus")  # fmt: skip
"""Slips with a number of their own, for ever in this order; a new one goes by its short name."""
SIGNS = "+h-"

# Contexts, in the order in which their numbers appear first.
LENGTH, SALT, LEFT, HOW_MANY, LISTED, BACK, GAP, NAME, DAYS = 17, 18, 19, 20, 21, 22, 23, 29, 30
RIGHT, WRONG, HELPED, ALONE, SLIPS, TIMES = 0, 1, 5, 8, 12, 16
IS_GENERAL, GENERAL_TREE, SIGN, QUOTIENT, NOW = (context * PLACES for context in (24, 25, 26, 27, 28))

DATA = re.compile(MARK + r"(\d{1,2})[\s:>]+([A-Za-z0-9+\s>-]*)(\.?)")
"""With whatever a messenger put between: line ends, and > before quoted lines."""
NOISE = re.compile(r"[\s>]+")
INVISIBLE = re.compile("[\u00ad\u200b-\u200f\u2060\ufeff]")


@dataclass(frozen=True, slots=True)
class Short:
    """A slip as its text tells it: by short names, in their order."""

    course: int
    code: str
    saved: str
    salts: Salts
    left_out: int
    last: str
    """The day of the last answer."""
    recent: Mapping[int, tuple[str, ...]]
    days: Mapping[int, int]
    """Different days with a right answer without help, of each module."""
    counts: Mapping[int, Counts]
    """Slips in it are general ids, or short names as digits."""


# -- writing ------------------------------------------------------------------------------------------------


def slip_text(course: str, slip: Slip, names: SlipNames, salts: Salts) -> str:
    """The text of a slip; what does not fit is left out, the oldest first. Raises Packed where nothing fits."""
    by_age = sorted(slip.results.items(), key=lambda one: one[0])
    by_age.sort(key=lambda one: last_day(one[1]), reverse=True)
    recent = {name: (answers, older_days(slip, names, name)) for name, answers in recent_by_name(slip, names).items()}
    few, many, best = 0, len(by_age), ""
    while few <= many:
        # Nearly always all fit, so that is tried first.
        middle = many if not best and many == len(by_age) else (few + many) // 2
        made = _text(course, slip, dict(by_age[:middle]), recent, salts, len(by_age) - middle)
        if len(made) <= LONGEST:
            best, few = made, middle + 1
        else:
            many = middle - 1
    if not best:
        raise Packed("not even an empty slip fits")
    return best


def recent_by_name(slip: Slip, names: SlipNames) -> dict[str, tuple[str, ...]]:
    """The last answers of each module, as `module ID`."""
    own = slip.results
    made = {module_name(id): recent_of(own[q] for q in ids if q in own) for id, ids in names.modules.items()}
    return {name: answers for name, answers in made.items() if answers}


def older_days(slip: Slip, names: SlipNames, module: str) -> int:
    """Days with a right answer without help that are not among the module's last answers. module: `module ID`."""
    ids = names.modules[module.removeprefix(module_name(""))]
    own = [slip.results[id] for id in ids if id in slip.results]
    return len(days_alone(own) - _alone(recent_of(own)))


def _alone(answers: Iterable[str]) -> set[str]:
    return {answer[:10] for answer in answers if answer[10] == "+"}


def _text(
    course: str, slip: Slip, results: Mapping[str, Counts], recent: Mapping[str, tuple[tuple[str, ...], int]],
    salts: Salts, left: int,
) -> str:  # fmt: skip
    out = Writer()
    _write(out, course, slip, results, recent, salts, left)
    body = out.done()
    older = f", {left} older questions left out" if left else ""
    return f"Progress slip of {slip.code}, {slip.saved}{older}: {MARK}{VERSION} {text_of(_sum(body) + body)}."


def _write(
    out: Writer, course: str, slip: Slip, results: Mapping[str, Counts],
    recent: Mapping[str, tuple[tuple[str, ...], int]], salts: Salts, left: int,
) -> None:  # fmt: skip
    saved = day_number(slip.saved)
    for half in divmod(long_name(course), 1 << 16):
        out.plain(half, 16)
    out.number(LENGTH, len(slip.code))
    for letter in slip.code:
        out.plain(LETTERS.index(letter), 6)
    out.plain(saved, 16)
    for one, least in ((salts.questions, LEAST_QUESTION_BITS), (salts.slips, LEAST_SLIP_BITS)):
        out.number(SALT, one.bits - least)
        out.number(SALT, one.salt)
    out.number(LEFT, left)
    out.number(BACK, max(0, saved - day_number(last_answer(slip) or slip.saved)))
    out.number(HOW_MANY, len(recent))
    for name, (answers, older) in sorted((salts.questions.name(name), both) for name, both in recent.items()):
        out.number(NAME, name)
        _write_answers(out, answers, saved)
        out.number(DAYS, older)
    found = sorted((salts.questions.name(id), counts) for id, counts in results.items())
    out.number(HOW_MANY, len(found))
    low = low_bits(len(found), salts.questions.bits)
    last = -1
    for name, counts in found:
        gap = max(0, name - last - 1)  # two removed questions may be alike
        for at in range(gap >> low):
            out.bit(QUOTIENT + min(at, 7), 1)
        out.bit(QUOTIENT + min(gap >> low, 7), 0)
        out.plain(gap & (1 << low) - 1, low)
        last += gap + 1
        _write_counts(out, counts, salts.slips)


def low_bits(count: int, bits: int) -> int:
    """How many digits of a gap between two names are written as they are, where so many stand in a row."""
    return max(0, ((1 << bits) * 2 // (3 * max(1, count))).bit_length() - 1)


def _write_answers(out: Writer, answers: tuple[str, ...], saved: int) -> None:
    """From the last one back."""
    out.number(LISTED, len(answers) - 1)
    before = saved
    for at, answer in enumerate(reversed(answers)):
        day = min(before, day_number(answer[:10]))
        out.number(GAP if at else BACK, before - day)
        before = day
        sign = SIGNS.index(answer[10])
        out.bit(SIGN, sign > 0)
        if sign:
            out.bit(SIGN + 1, sign > 1)


def _write_counts(out: Writer, counts: Counts, salted: Salted) -> None:
    tries, right, helped, alone = (min(count, MOST) for count in counts[:4])
    right = min(right, tries)
    wrong = tries - right
    out.number(RIGHT, right)
    out.number(WRONG + min(right, 3), wrong)
    out.number(HELPED + min(wrong, 2), helped)
    out.number(ALONE + min(right, 3), alone)
    out.bit(NOW + min(alone, 3), counts.now)
    out.number(SLIPS + min(wrong, 3), len(counts.slips))
    for name, times in sorted(counts.slips):
        out.bit(IS_GENERAL, name in GENERALS)
        if name in GENERALS:
            node = 1
            for place in (3, 2, 1, 0):
                digit = GENERALS.index(name) >> place & 1
                out.bit(GENERAL_TREE + node, digit)
                node = node * 2 + digit
        else:
            out.plain(salted.name(name), salted.bits)
        out.number(TIMES, max(0, min(times, MOST) - 1))


# -- reading ------------------------------------------------------------------------------------------------


def texts_in(text: str) -> list[tuple[int, str, bool]]:
    """Version and data of every slip in a text of messages, and whether its end is there."""
    found = DATA.findall(INVISIBLE.sub("", text))
    return [(int(version), NOISE.sub("", data), bool(end)) for version, data, end in found]


def read_data(data: str, version: int = VERSION) -> Short:
    """What the data say. Raises Packed where they are damaged or were never a slip's."""
    body = bytes_of(data)
    if len(body) < 10 or _sum(body[4:]) != body[:4]:
        raise Packed("its check sum does not fit")
    return _read(Reader(body[4:]), version)


def _read(come: Reader, version: int) -> Short:
    course = come.plain(16) << 16 | come.plain(16)
    length = come.number(LENGTH)
    if not 1 <= length <= 20:
        raise Packed("its code has no length that codes have")
    code = "".join(LETTERS[min(come.plain(6), 62)] for _ in range(length))
    saved = come.plain(16)
    salts = Salts(_read_salted(come, LEAST_QUESTION_BITS, MOST_BITS), _read_salted(come, LEAST_SLIP_BITS, 16))
    left = come.number(LEFT)
    last = saved - come.number(BACK)
    if last < 0:
        raise Packed("its last answer is older than any course")
    recent, days = {}, {}
    for _ in range(_count(come)):
        name = come.number(NAME)
        recent[name] = _read_answers(come, saved)
        days[name] = len(_alone(recent[name])) + (come.number(DAYS) if version > 1 else 0)
    count = _count(come)
    low, name = low_bits(count, salts.questions.bits), -1
    counts = {}
    for _ in range(count):
        quotient = 0
        while come.bit(QUOTIENT + min(quotient, 7)):
            quotient += 1
            if quotient << low > 1 << MOST_BITS:
                raise Packed("its questions have no names")
        name += (quotient << low | come.plain(low)) + 1
        counts[name] = _read_counts(come, salts.slips.bits)
        if come.over:
            raise Packed("it ends too early")
    return Short(course, code, day_text(saved), salts, left, day_text(last), recent, days, counts)


def _read_salted(come: Reader, least: int, most: int) -> Salted:
    bits = least + come.number(SALT)
    if bits > most:
        raise Packed("its names are too long")
    return Salted(bits, come.number(SALT))


def _count(come: Reader) -> int:
    count = come.number(HOW_MANY)
    if count > MOST_QUESTIONS:
        raise Packed("it names more questions than a course has")
    return count


def _read_answers(come: Reader, saved: int) -> tuple[str, ...]:
    count = come.number(LISTED) + 1
    if count > LATELY:
        raise Packed("it lists more answers than a slip does")
    made: list[str] = []
    for at in range(count):
        saved -= come.number(GAP if at else BACK)
        if saved < 0:
            raise Packed("its answers are older than any course")
        sign = come.bit(SIGN) and 1 + come.bit(SIGN + 1)
        made.append(day_text(saved) + SIGNS[sign])
    return tuple(reversed(made))


def _read_counts(come: Reader, bits: int) -> Counts:
    right = come.number(RIGHT)
    wrong = come.number(WRONG + min(right, 3))
    helped = come.number(HELPED + min(wrong, 2))
    alone = come.number(ALONE + min(right, 3))
    now = bool(come.bit(NOW + min(alone, 3)))
    count = come.number(SLIPS + min(wrong, 3))
    if count > 100:
        raise Packed("it names more slips than a question has")
    slips = {}
    for _ in range(count):
        if come.bit(IS_GENERAL):
            node = 1
            for _ in range(4):
                node = node * 2 + come.bit(GENERAL_TREE + node)
            name = GENERALS[node - 16] if node - 16 < len(GENERALS) else ""
        else:
            name = str(come.plain(bits))
        slips[name] = come.number(TIMES) + 1
    return Counts(right + wrong, right, helped, alone, now, slips=tuple(sorted(slips.items())))


# -- short names to ids -------------------------------------------------------------------------------------


def named(short: Short, names: SlipNames) -> Slip:
    """The slip with the ids of today's course. A name that no longer means one thing counts as unknown."""
    table = _table(names, short.salts.questions)
    results: dict[str, Counts] = {}
    unknown = 0
    for name, counts in short.counts.items():
        id = table.get(name, "")
        if not id or id.startswith(module_name("")):
            unknown += 1
            continue
        own = _slip_table(names, id, short.salts.slips)
        slips = tuple(sorted((own.get(slip, slip), times) for slip, times in counts.slips))
        results[id] = counts._replace(slips=slips)
    start = module_name("")
    recent = {table[name].removeprefix(start): answers for name, answers in short.recent.items() if table.get(name)}
    days = {table[name].removeprefix(start): count for name, count in short.days.items() if table.get(name)}
    return Slip(short.code, short.saved, results, recent, days, short.last, short.left_out, unknown)


@lru_cache(maxsize=64)
def _question_table(all_: tuple[tuple[str, str], ...], salted: Salted) -> dict[int, str]:
    made: dict[int, str] = {}
    for old, id in all_:
        name = salted.name(old)
        # Two of today's names alike under yesterday's salt: nobody can say which was meant.
        made[name] = "" if made.get(name, id) != id else id
    return made


def _table(names: SlipNames, salted: Salted) -> dict[int, str]:
    return _question_table(tuple((id, names.was.get(id, id)) for id in names.all()), salted)


def _slip_table(names: SlipNames, id: str, salted: Salted) -> dict[str, str]:
    return _own_table(tuple(names.slips.get(id, ())), salted)


@lru_cache(maxsize=8192)
def _own_table(slips: tuple[str, ...], salted: Salted) -> dict[str, str]:
    made: dict[str, str] = {}
    for slip in slips:
        if slip not in GENERALS:
            name = str(salted.name(slip))
            made[name] = "" if name in made else slip
    return made


# -- days -----------------------------------------------------------------------------------------------------


def day_number(day: str) -> int:
    return (date.fromisoformat(day) - FIRST_DAY).days


@lru_cache(maxsize=65536)
def day_text(number: int) -> str:
    return (FIRST_DAY + timedelta(days=number)).isoformat()


def _sum(body: bytes) -> bytes:
    """CRC-32, as in ITU-T V.42."""
    return zlib.crc32(body).to_bytes(4)
