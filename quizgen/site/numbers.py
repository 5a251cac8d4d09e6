"""Numbers in prose: `show EXAMPLE QUANTITY` in a page prints a number of a worked example.

Done on the Markdown text, before it is rendered, so that prose, quiz and formula cannot disagree.
"""

from __future__ import annotations

import re
from functools import partial

from mkdocs.structure.pages import Page

from quizgen.bank.faults import near, quoted
from quizgen.expression.parse import ExpressionError
from quizgen.site.content import Content
from quizgen.site.errors import PageError
from quizgen.site.fence import markdown_of
from quizgen.variants.example import shown
from quizgen.web.page_blocks import plain_lines

_SHOW = re.compile(r"`show ([^`]*)`")


def put_numbers(markdown: str, page: Page, content: Content) -> str:
    """The Markdown with every `show …` replaced. Raises PageError with page and line."""
    if "`show " not in markdown:
        return markdown
    lines = markdown.splitlines(keepends=True)
    offset = _offset(markdown, markdown_of(page))
    for number, line, info in list(plain_lines(markdown)):
        if info is None and "`show " in line:
            place = f"{page.file.src_uri}:{number + offset}"
            lines[number - 1] = _SHOW.sub(partial(_number, place, content), lines[number - 1])
    return "".join(lines)


def _offset(markdown: str, whole: str) -> int:
    """How many lines of front matter and blank lines mkdocs has taken off the top."""
    at = whole.rfind(markdown.rstrip())
    return whole[:at].count("\n") if at >= 0 else 0


def _number(place: str, content: Content, code: re.Match[str]) -> str:
    text = code.group(1)
    found = re.fullmatch(r"\s*(\S+)\s+([A-Za-z]\w*)(?:\s+in\s+(\S+))?\s*", text)
    if not found:
        raise PageError(f"{place}: `show {text}`: expected `show EXAMPLE QUANTITY` or `show EXAMPLE QUANTITY in UNIT`")
    id, name, unit = found.groups()
    if id not in content.examples:
        raise PageError(f"{place}: {quoted(id)} is no example in the bank.{near(id, content.examples)}")
    example = content.examples[id]
    if name not in example.values:
        raise PageError(f"{place}: example {id} has no {quoted(name)}.{near(name, example.values)}")
    try:
        return shown(example, name, unit or "", content.bank.units)
    except ExpressionError as error:
        raise PageError(f"{place}: `show {text}`: {error}") from None
