"""Every drawing made at build: well formed, in the page's own colours, described, legible on a phone."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import hypot
from pathlib import Path

import pytest

from quizgen.bank.read_pictures import ONE_POINT, TWO_POINTS
from quizgen.cache import Cache
from quizgen.site.pictures import drawn_pictures
from quizgen.variants.wave import waves_of
from quizgen.web import circuit_svg
from tests.once import shipped_bank

COURSE = Path(__file__).parents[2] / "course"
BANK = shipped_bank()
PHONE = 328 - 10
"""What a page of 360 leaves a drawing, its frame taken off."""
WANTED = {
    *(f"circuit-{name}" for name in (
        "safety", "units", "supply", "signalling", "filter", "rectifier", "buck", "boost", "windings", "inverter",
        "dc-link", "insulation", "sensors", "repair",
    )),
    *(f"wave-{name}" for name in (
        "one-phase", "three-phase", "choke-ripple", "interleave", "pilot", "precharge", "discharge", "ripple-share",
    )),
}  # fmt: skip


@cache
def figures() -> dict[str, str]:
    return drawn_pictures(BANK, "now", Cache(None))


def svg(name: str) -> ET.Element:
    found = re.search(r"<svg.*</svg>", figures()[name], re.DOTALL)
    assert found
    return ET.fromstring(found[0])


def test_the_pilot_comes_from_a_source_of_a_square_wave() -> None:
    """IEC 60617 (from memory): a circle with the shape of its wave inside, which here goes level or straight up."""
    picture = BANK.pictures["circuit-signalling"]
    source = next(part for part in picture.parts if part.kind.endswith("source"))
    figure = circuit_svg.circuit_html(replace(picture, parts=(source,)))
    circle = re.search(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"', figure)
    assert circle
    middle_x, middle_y, radius = (float(number) for number in circle.groups())
    ways = [re.findall(r"(-?[\d.]+),(-?[\d.]+)", way) for way in re.findall(r'<path d="M([^"M]+)"', figure)]
    (pulse,) = [[(float(x) - middle_x, float(y) - middle_y) for x, y in way] for way in ways if len(way) > 2]
    assert all(hypot(x, y) < radius for x, y in pulse)
    strokes = [(abs(a[0] - b[0]) < 0.01, abs(a[1] - b[1]) < 0.01) for a, b in pairwise(pulse)]
    assert strokes == [(True, False), (False, True)] * 2 + [(True, False)]


def test_every_stage_has_its_drawings() -> None:
    assert set(figures()) >= WANTED


@pytest.mark.parametrize("name", sorted(BANK.pictures))
def test_a_drawing_is_described_and_has_no_colour_of_its_own(name: str) -> None:
    drawing = svg(name)
    title, says = (drawing.find(tag) for tag in ("title", "desc"))
    assert title is not None and says is not None and title.text and len(says.text or "") > 60
    assert drawing.get("aria-labelledby") == title.get("id") and drawing.get("aria-describedby") == says.get("id")
    for element in drawing.iter():
        assert not {"style", "fill", "stroke", "color"} & set(element.keys()), ET.tostring(element)
    assert not re.search(r"[(][A-Za-z]\w*[)]|of the [a-z-]+[)]", (says.text or "") + figures()[name].split("<svg")[1])


@pytest.mark.parametrize("name", sorted(BANK.pictures))
def test_letters_are_letters_and_large_enough_on_a_phone(name: str) -> None:
    drawing = svg(name)
    wide = float(drawing.get("viewBox", "").split()[2])
    sizes = [float(text.get("font-size", "0")) for text in drawing.iter("text")]
    assert sizes and min(sizes) * min(1, PHONE / wide) >= 11


@pytest.mark.parametrize("name", sorted(BANK.pictures))
def test_letters_lie_inside_the_drawing(name: str) -> None:
    drawing = svg(name)
    wide, tall = (float(part) for part in drawing.get("viewBox", "").split()[2:])
    group = drawing.find("g")
    shift = re.findall(r"-?[\d.]+", group.get("transform", "")) if group is not None else ["0", "0"]
    for text in drawing.iter("text"):
        x, y = float(text.get("x", "")) + float(shift[0]), float(text.get("y", "")) + float(shift[1])
        assert 0 <= x <= wide and 10 <= y <= tall, "".join(text.itertext())


def test_ids_are_the_pictures_own() -> None:
    ids = [id for name in figures() for id in re.findall(r' id="([^"]+)"', figures()[name])]
    assert len(ids) == len(set(ids)) == 3 * len(figures())


def test_every_part_that_can_be_written_can_be_drawn() -> None:
    assert set(circuit_svg._HALF) | {"box", "frame"} == {*ONE_POINT, *TWO_POINTS}


@pytest.mark.parametrize("name", sorted(name for name in BANK.pictures if name.startswith("wave-")))
def test_axes_have_names_and_units_and_curves_differ_by_more_than_colour(name: str) -> None:
    wave = waves_of(BANK)[0][name]
    texts = ["".join(text.itertext()) for text in svg(name).iter("text")]
    assert (f"{wave.axis} in {wave.unit}" if wave.unit else wave.axis) in texts
    for plot in wave.plots:
        assert (f"{plot.axis} in {plot.unit}" if plot.unit else plot.axis) in texts
        assert len({curve.line for curve in plot.curves}) == len(plot.curves)
        assert {curve.name for curve in plot.curves} <= set(texts)


def test_a_second_build_draws_nothing(tmp_path: Path) -> None:
    first, second, third = (Cache(tmp_path) for _ in range(3))
    made = drawn_pictures(BANK, "now", first)
    assert drawn_pictures(BANK, "now", second) == drawn_pictures(BANK, "a question changed", third) == made
    assert first.made > 14 and second.made == 0
    # Waves are worked again, circuits are not.
    assert third.made == 1
