"""Terms in prose: the first appearance on a page carries its meaning; and the glossary itself.

The meaning stands inside the term's own element, so it opens on hover, focus and tap without a
script. Headings, links, code, formulas, figures and questions are left alone.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from functools import lru_cache
from html import escape, unescape

from quizgen.bank.models import Term

# What holds no prose is passed over as a whole: these never stand within one of their own kind.
_TAG = re.compile(
    r"<!--.*?-->|<(section|svg|math|pre|script|style|template)[\s>].*?</\1\s*>|<(/?)([a-zA-Z][a-zA-Z0-9-]*)([^>]*)>",
    re.DOTALL,
)
_LEFT_ALONE = frozenset(
    ("a", "h1", "h2", "h3", "h4", "h5", "h6", "code", "pre", "script", "style", "math", "svg", "button", "template",
     "section", "label", "summary", "figcaption", "th", "dfn")
)  # fmt: skip
_EMPTY = frozenset(("br", "img", "hr", "input", "col", "wbr"))


def mark_terms(html: str, terms: Mapping[str, Term]) -> str:
    """The page's HTML with the first appearance of each term marked."""
    waiting = {_key(spelling): term for term in terms.values() for spelling in (term.term, *term.also)}
    if not waiting:
        return html
    pattern = _pattern(tuple(sorted(waiting, key=len, reverse=True)))
    made: list[str] = []
    open_tags: list[str] = []
    at = 0
    for found in _TAG.finditer(html):
        made.append(_marked(html[at : found.start()], pattern, waiting, open_tags))
        made.append(found.group())
        _follow(found, open_tags)
        at = found.end()
    made.append(_marked(html[at:], pattern, waiting, open_tags))
    return "".join(made)


def _follow(found: re.Match[str], open_tags: list[str]) -> None:
    name = (found.group(3) or "").lower()
    if name not in _LEFT_ALONE:
        return
    if not found.group(2):
        if not found.group(4).endswith("/") and name not in _EMPTY:
            open_tags.append(name)
    elif name in open_tags:
        while open_tags.pop() != name:
            pass


def _marked(text: str, pattern: re.Pattern[str], waiting: dict[str, Term], open_tags: Collection[str]) -> str:
    if open_tags or not text.strip() or not waiting:
        return text

    def mark(found: re.Match[str]) -> str:
        shown = _key(unescape(found.group()))
        term = waiting.get(shown) or waiting.get(shown.removesuffix("s"))
        if term is None:
            return found.group()
        for spelling in (term.term, *term.also):
            waiting.pop(_key(spelling), None)
        return (
            f'<dfn class="qz-term" tabindex="0" aria-describedby="term-{escape(term.id)}">{found.group()}'
            f'<span class="qz-meaning" role="tooltip" id="term-{escape(term.id)}">{escape(term.says)}</span></dfn>'
        )

    return pattern.sub(mark, text)


def _key(spelling: str) -> str:
    """How spellings are compared: without case, each space as one, whatever it was."""
    return " ".join(spelling.lower().split())


@lru_cache(maxsize=8)
def _pattern(spellings: tuple[str, ...]) -> re.Pattern[str]:
    """Longest first, and all of them at any time: a short term within a long one is no term of its own.

    A term of several words may be broken over two lines and stand in the plural.
    """
    by_letter: dict[str, list[str]] = {}
    for spelling in spellings:
        way = _way(escape(spelling).split())
        first = re.escape(escape(spelling)[0])
        by_letter.setdefault(first, []).append(way.removeprefix(first))
    # Asked by first letter, since the engine tries one alternative after the other: more than twice as fast.
    ways = (f"{first}(?:{'|'.join(rest)})" for first, rest in by_letter.items())
    return re.compile(rf"(?<![\w-])(?:{'|'.join(ways)})(?![\w-])", re.IGNORECASE)


def _way(words: list[str]) -> str:
    return r"\s+".join(re.escape(word) for word in words) + ("s?" if len(words) > 1 else "")


def glossary_html(terms: Mapping[str, Term]) -> str:
    """Every term in the order of the alphabet."""
    rows = "".join(
        f'<dt id="meaning-{escape(term.id)}">{escape(term.term)}{_also(term)}</dt><dd>{escape(term.says)}</dd>'
        for term in sorted(terms.values(), key=lambda t: t.term.lower())
    )
    return f'<dl class="qz-glossary">{rows}</dl>'


def _also(term: Term) -> str:
    return f' <span class="qz-also">also: {escape(", ".join(term.also))}</span>' if term.also else ""
