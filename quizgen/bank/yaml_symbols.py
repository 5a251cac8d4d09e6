"""Symbols that no bank file holds: damage, and what cannot be seen or looks like a space."""

import re
import unicodedata

from quizgen.bank.faults import Fault
from quizgen.bank.yaml_limits import few
from quizgen.bank.yaml_nodes import Source

# what YAML cannot carry, and line ends that editors do not show as such
DAMAGE = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufdd0-\ufdef"
    + "".join(f"{chr(plane + 0xFFFE)}{chr(plane + 0xFFFF)}" for plane in range(0, 0x110000, 0x10000))
    + "]"
)
# What makes a text other than it looks. U+200C and U+200D stay: whole scripts are spelt with them.
HIDDEN = re.compile(
    "[\u061c\u180e\u200b\u200e\u200f\u202a-\u202e\u2060-\u2064\u2066-\u206f\ufeff\ufff9-\ufffb\U000e0000-\U000e007f]"
)
_NAMES = {
    0x200B: "zero-width space",
    0x200E: "left-to-right mark",
    0x200F: "right-to-left mark",
    0x2028: "line separator",
    0x2029: "paragraph separator",
    0xFEFF: "byte order mark",
} | dict.fromkeys((0x61C, *range(0x202A, 0x202F), *range(0x2066, 0x206A)), "text direction control")


def symbol_faults(source: Source, text: str) -> tuple[list[Fault], list[Fault]]:
    """Damage, after which the file is read no further, and hidden symbols; one fault for each line."""
    found = []
    for pattern in (DAMAGE, HIDDEN):
        faults = []
        if pattern.search(text):
            for number, line in enumerate(source.lines):
                if match := pattern.search(line):
                    faults.append(Fault(source.place(number, match.start()), "", _unwanted(match[0])))
        found.append(few(faults))
    return found[0], found[1]


def _unwanted(symbol: str) -> str:
    point = ord(symbol)
    if symbol == "\0":
        return "NUL (U+0000) stands here: save the file as UTF-8 text"
    if symbol == "\r":
        return "a carriage return (U+000D) without line feed stands here: save with line ends LF or CRLF"
    if unicodedata.category(symbol) in {"Cs", "Cn"}:
        return f"U+{point:04X} is no character: delete it"
    name = _NAMES.get(point, "control character" if point < 0xA0 else "invisible character")
    return f"U+{point:04X} ({name}) stands here and cannot be seen: delete it"


def is_odd_space(symbol: str) -> bool:
    return symbol.isspace() and symbol not in " \t\n"


def odd_space_told(symbol: str) -> str:
    return f"U+{ord(symbol):04X} stands here and looks like a space: use an ordinary one"
