"""A circuit as a drawing: symbols by schemdraw, after IEC 60617 (from memory), letters and frames by us.

One step of the author's grid is 36 units of the drawing. schemdraw is loaded inside the function, so that
a build that finds its drawings in the cache never loads it.
"""

from __future__ import annotations

import re
from typing import Any

from quizgen.bank.models import Part, Picture
from quizgen.web.drawn_text import figure_html, plain, text_svg
from quizgen.web.lettering import width_of

STEP = 36.0
WIDE = 328.0
SIZE, LINE = 13.0, 15.0
MARGIN = 4.0
_LETTERS = {"voltmeter": "V", "ammeter": "A", "ohmmeter": "Ω"}
_HALF = {
    "line": 2, "dashed": 2, "arrow": 5, "resistor": 9, "coil": 6, "capacitor": 11, "diode": 10, "transistor": 20,
    "switch": 16, "fuse": 9, "battery": 14, "ac-source": 19, "square-source": 19, "voltmeter": 19,
    "ammeter": 19, "ohmmeter": 19, "thermistor": 16, "dot": 4, "terminal": 5, "earth": 10, "chassis": 12, "text": 0,
}  # fmt: skip
"""How far a symbol reaches to its sides."""
_STYLE = re.compile(r' style="([^"]*)"')

Box = tuple[float, float, float, float]


def circuit_html(picture: Picture) -> str:
    """The figure of a circuit, at least as wide as a phone's page."""
    texts, boxes = [], []
    for part in picture.parts:
        drawn, box = _own(part)
        texts.append(drawn)
        boxes.append(box)
    left, top = min(box[0] for box in boxes) - MARGIN, min(box[1] for box in boxes) - MARGIN
    right, bottom = max(box[2] for box in boxes) + MARGIN, max(box[3] for box in boxes) + MARGIN
    wide = max(right - left, WIDE)
    shift = f"translate({(wide - (right - left)) / 2 - left:.1f} {-top:.1f})"
    body = f'<g transform="{shift}">{_symbols(picture.parts)}{"".join(texts)}</g>'
    return figure_html(picture.id, picture.title, _text(picture.says), _text(picture.caption), wide, bottom - top, body)


def _text(words: Any) -> str:
    return "".join(part for part in words if isinstance(part, str))


def _symbols(parts: tuple[Part, ...]) -> str:
    import schemdraw
    import schemdraw.elements as elements

    schemdraw.use("svg")
    drawing = schemdraw.Drawing(show=False)
    for part in parts:
        symbol = _symbol(part, elements)
        if symbol is not None:
            drawing.add(symbol)
    if not drawing.elements:
        return ""
    svg = drawing.get_imagedata("svg").decode()
    return _STYLE.sub(_kept_style, svg[svg.index(">") + 1 : svg.rindex("</svg>")])


def _kept_style(style: re.Match[str]) -> str:
    """Of what schemdraw says of colours and strokes only the shape stays; the page's style sheet has the rest."""
    kept = ' class="qz-full"' if "fill:currentColor" in style[1] or "fill:black" in style[1] else ""
    dashes = re.search(r"stroke-dasharray:([\d.]+,[\d.]+)", style[1])
    return kept + (f' stroke-dasharray="{dashes[1]}"' if dashes else "")


def _symbol(part: Part, elements: Any) -> Any:
    start = (part.start[0], -part.start[1])
    if part.kind in ("earth", "chassis"):
        return (elements.Ground if part.kind == "earth" else elements.GroundChassis)().at(start).theta(0)
    if part.end is None or part.kind in ("box", "frame"):
        return None
    made = {
        "line": elements.Line,
        "dashed": lambda: elements.Line(ls="--"),
        "arrow": lambda: elements.Line(arrow="->"),
        "resistor": elements.ResistorIEC,
        "coil": elements.Inductor,
        "capacitor": elements.Capacitor,
        "diode": elements.Diode,
        "transistor": lambda: _transistor(elements),
        "switch": lambda: elements.Switch(contacts=False),
        "fuse": elements.FuseIEC,
        "battery": elements.Battery,
        "ac-source": elements.SourceSin,
        "square-source": elements.SourceSquare,
        "voltmeter": elements.Source,
        "ammeter": elements.Source,
        "ohmmeter": elements.Source,
        "thermistor": elements.Thermistor,
    }[part.kind]()
    return made.endpoints(start, (part.end[0], -part.end[1]))


def _transistor(elements: Any) -> Any:
    """An insulated-gate transistor with its diode, from collector to emitter, the gate at the right of that way."""
    from schemdraw.segments import Segment, SegmentPoly

    made = elements.Element2Term()
    gap = elements.twoterm.gap
    made.segments += [
        # The first path carries the leads to both ends.
        Segment([(0, 0), (0.22, 0), (0.38, -0.22), gap, (0.78, 0), (1, 0)]),
        Segment([(0.62, -0.22), (0.78, 0)], arrow="->", arrowwidth=0.13, arrowlength=0.15),
        Segment([(0.22, -0.22), (0.78, -0.22)]),
        Segment([(0.28, -0.31), (0.72, -0.31)]),
        Segment([(0.5, -0.31), (0.5, -0.52)]),
        Segment([(0, 0), (0.05, 0), (0.05, 0.36), (0.95, 0.36), (0.95, 0), (1, 0)]),
        SegmentPoly([(0.64, 0.22), (0.64, 0.5), (0.4, 0.36)]),
        Segment([(0.4, 0.22), (0.4, 0.5)]),
    ]
    return made


def _own(part: Part) -> tuple[str, Box]:
    """What we draw of a part ourselves, and the room the whole part takes."""
    x, y = part.start[0] * STEP, part.start[1] * STEP
    lines = part.label.split("|") if part.label else []
    if part.end is None:
        return _at_point(part, x, y, lines)
    to_x, to_y = part.end[0] * STEP, part.end[1] * STEP
    left, right, top, bottom = min(x, to_x), max(x, to_x), min(y, to_y), max(y, to_y)
    if part.kind in ("box", "frame"):
        return _framed(part, (left, top, right, bottom), lines)
    upright = abs(to_y - y) > abs(to_x - x)
    half = float(_HALF[part.kind])
    middle = ((x + to_x) / 2, (y + to_y) / 2)
    room = (left - half, top, right + half, bottom) if upright else (left, top - half, right, bottom + half)
    made = ""
    if part.kind in _LETTERS:
        made = text_svg(middle[0], middle[1] + 5, _LETTERS[part.kind], "middle", 15)
    drawn, label = _label(lines, middle, half, part.side or ("right" if upright else "above"))
    return made + drawn, _around(room, label)


def _at_point(part: Part, x: float, y: float, lines: list[str]) -> tuple[str, Box]:
    half = float(_HALF[part.kind])
    made = ""
    if part.kind in ("dot", "terminal"):
        kind = "qz-full" if part.kind == "dot" else "qz-hollow"
        made = f'<circle class="{kind}" cx="{x:.1f}" cy="{y:.1f}" r="{3 if part.kind == "dot" else 3.5}"/>'
    low = 26.0 if part.kind in ("earth", "chassis") else half
    room = (x - half, y - half, x + half, y + low)
    side = part.side or ("inside" if part.kind == "text" else "right")
    drawn, label = _label(lines, (x, y), half, side)
    return made + drawn, _around(room, label)


def _framed(part: Part, room: Box, lines: list[str]) -> tuple[str, Box]:
    left, top, right, bottom = room
    dashes = ' stroke-dasharray="5 4"' if part.kind == "frame" else ""
    made = f'<rect x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" height="{bottom - top:.1f}"{dashes}/>'
    side = part.side or ("inside" if part.kind == "box" else "above")
    half = 0.0 if side == "inside" else (bottom - top) / 2 if side in ("above", "below") else (right - left) / 2
    drawn, label = _label(lines, ((left + right) / 2, (top + bottom) / 2), half, side)
    return made + drawn, _around(room, label)


def _label(lines: list[str], at: tuple[float, float], half: float, side: str) -> tuple[str, Box]:
    """The lines of a label beside, above or on a point, and the room they take."""
    x, y = at
    if not lines:
        return "", (x, y, x, y)
    wide = max(width_of(plain(line), SIZE) for line in lines)
    tall = LINE * len(lines)
    anchor = {"left": "end", "right": "start"}.get(side, "middle")
    x += {"left": -half - 5, "right": half + 5}.get(side, 0)
    first = {"above": y - half - tall + 8, "below": y + half + 16}.get(side, y - tall / 2 + 11.5)
    made = "".join(text_svg(x, first + at * LINE, line, anchor, SIZE) for at, line in enumerate(lines))
    left = {"end": x - wide, "start": x, "middle": x - wide / 2}[anchor]
    return made, (left, first - 12, left + wide, first + tall - 10)


def _around(a: Box, b: Box) -> Box:
    return min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3])
