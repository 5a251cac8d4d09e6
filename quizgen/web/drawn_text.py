"""Text in drawings: symbols with their index lowered, several lines, always text and never an outline."""

from __future__ import annotations

import re
from html import escape

_SYMBOL = re.compile(r"(?<![\w])([A-Za-zΔαθητψûîĀ-ɏ]{1,2})_([A-Za-z0-9+−]{1,6})(?!\w)")


def symbols(text: str) -> str:
    """The text as SVG content: `L_w` becomes L with a small w below."""
    made, at = "", 0
    for found in _SYMBOL.finditer(text):
        made += escape(text[at : found.start()])
        made += (
            f'<tspan font-style="italic">{escape(found[1])}</tspan>'
            f'<tspan dy="3" font-size="11">{escape(found[2])}</tspan><tspan dy="-3">\u200b</tspan>'
        )
        at = found.end()
    return made + escape(text[at:])


def plain(text: str) -> str:
    """The text without what only shapes it, to find its width."""
    return _SYMBOL.sub(r"\1\2", text)


def text_svg(x: float, y: float, text: str, anchor: str = "start", size: float = 13, kind: str = "") -> str:
    shown = f' class="{kind}"' if kind else ""
    where = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return f'<text x="{x:.1f}" y="{y:.1f}"{where} font-size="{size:g}"{shown}>{symbols(text)}</text>'


def figure_html(id: str, title: str, says: str, caption: str, wide: float, tall: float, body: str) -> str:
    """A drawing with its title and description, and what stands below it."""
    name = f"picture-{escape(id)}"
    below = f" {escape(caption)}" if caption else ""
    return (
        f'<figure class="qz-picture" id="{name}"><svg data-search-exclude="" role="img" aria-labelledby="{name}-title" '
        f'aria-describedby="{name}-says" viewBox="0 0 {wide:.0f} {tall:.0f}" width="{wide:.0f}" height="{tall:.0f}">'
        f'<title id="{name}-title">{escape(title)}</title><desc id="{name}-says">{escape(says)}</desc>{body}</svg>'
        f"<figcaption><strong>{escape(title)}.</strong>{below}</figcaption></figure>"
    )
