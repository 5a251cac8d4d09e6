"""Letters in drawings, which are made without a screen: how wide a text runs, and where to break it."""

from __future__ import annotations

_NARROW, _WIDE = frozenset("iljtfrI.,:;'|!()[] "), frozenset("mwMWΩ@%—…")


def width_of(text: str, size: float) -> float:
    """Width of a text in the theme's upright letters of that size; rather too wide than too narrow."""
    units = (0.34 if c in _NARROW else 0.92 if c in _WIDE else 0.68 if c.isupper() else 0.575 for c in text)
    return size * sum(units)


def lines_of(text: str, size: float, width: float) -> list[str]:
    """The words in lines no wider than `width`, as few as it takes; a longer word stands alone."""
    lines: list[str] = []
    for word in text.split():
        if lines and width_of(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines
