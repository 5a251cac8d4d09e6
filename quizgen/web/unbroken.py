"""Number and unit stay on one line: what authors type with an ordinary space is shown with one that does not break.

Authors cannot see a no-break space, so none is asked of them; it is put where the page is made. Groups of three
digits get the narrow one, as in the numbers we write ourselves. Source: SI brochure, 9th edition, 5.4.3 and 5.4.4.
"""

from __future__ import annotations

import re

from quizgen.expression.units import ENTRIES
from quizgen.expression.writing import NARROW, NO_BREAK

# A tag, or what holds no prose: code keeps the spaces that are copied from it.
_PASSED = re.compile(
    r"<!--.*?-->|<(svg|math|pre|code|script|style|template|textarea)[\s>].*?</\1\s*>|<[^>]*>", re.DOTALL
)
_SYMBOLS = sorted(
    {p + e.symbol for e in ENTRIES if e.symbol != "1" for p in ("", *e.prefixes)},
    key=lambda symbol: (-len(symbol), symbol),
)
_UNIT = re.compile(rf"(?<=[0-9])[ \n](?=(?:{'|'.join(map(re.escape, _SYMBOLS))})(?![A-Za-zµΩ’']))")
_GROUPS = re.compile(r"(?<![\w.,])[0-9]{1,3}(?: [0-9]{3})+(?![0-9])|(?<![\w.,])[0-9]+\.[0-9]{3}(?: [0-9]{3})+(?![0-9])")


def unbroken(html: str) -> str:
    """The HTML with no-break spaces in its running text; tags, code, drawings and formulas are left as they are."""
    made: list[str] = []
    at = 0
    for found in _PASSED.finditer(html):
        made += (_held(html[at : found.start()]), found.group())
        at = found.end()
    return "".join((*made, _held(html[at:])))


def _held(text: str) -> str:
    if " " not in text and "\n" not in text:
        return text
    return _UNIT.sub(NO_BREAK, _GROUPS.sub(lambda found: found.group().replace(" ", NARROW), text))
