"""Drawings in a browser: they fit a phone without scrolling sideways and take the page's colours."""

from __future__ import annotations

import pytest

PAGES = ("safety.html", "supply.html", "signalling.html", "boost.html")


@pytest.mark.parametrize("name", PAGES)
def test_drawings_fit_a_phone_and_stay_legible(page, course_site, name) -> None:
    page.set_viewport_size({"width": 360, "height": 800})
    page.goto((course_site / name).as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    drawings = page.locator(".qz-picture svg")
    assert drawings.count() >= 1
    boxes = drawings.evaluate_all("all => all.map(svg => svg.getBoundingClientRect().toJSON())")
    assert all(box["left"] >= 0 and box["right"] <= 360 and box["height"] > 80 for box in boxes)
    sizes = drawings.locator("text").evaluate_all(
        "all => all.map(t => t.getCTM().a * parseFloat(t.getAttribute('font-size')))"
    )
    assert min(sizes) >= 11
    outside = page.locator(".qz-picture").evaluate_all(
        """all => all.flatMap(figure => {
          const box = figure.querySelector("svg").getBoundingClientRect();
          return [...figure.querySelectorAll("text")].filter(t => {
            const own = t.getBoundingClientRect();
            return own.left < box.left - 1 || own.right > box.right + 1;
          }).map(t => t.textContent);
        })"""
    )
    assert outside == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_strokes_and_letters_have_the_colour_of_the_text(chromium, course_site, scheme) -> None:
    context = chromium.new_context(offline=True, color_scheme=scheme)
    page = context.new_page()
    page.goto((course_site / "boost.html").as_uri())
    colours = page.locator(".qz-picture").first.evaluate(
        """figure => {
          const of = (selector, name) => getComputedStyle(figure.querySelector(selector))[name];
          return [getComputedStyle(figure).color, of("path", "stroke"), of("text", "fill"), of("path", "fill")];
        }"""
    )
    context.close()
    assert colours[0] == colours[1] == colours[2] and colours[3] == "none"
