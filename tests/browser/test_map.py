"""The map of the shipped course in a browser: fits, leads on, and shows how far one is."""

from __future__ import annotations

import json

import pytest


@pytest.mark.parametrize("width", [320, 360, 1280])
def test_the_map_fits_and_its_letters_are_large_enough(page, course_site, width) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    page.goto((course_site / "index.html").as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    seen = page.locator(".qz-map svg:visible")
    assert seen.count() == 1
    heights = seen.locator("text").evaluate_all(
        "all => all.map(t => t.getCTM().a * parseFloat(getComputedStyle(t).fontSize))"
    )
    assert len(heights) > 20 and min(heights) >= 11


def test_letters_stay_inside_their_boxes(page, course_site) -> None:
    for width in (360, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        page.goto((course_site / "index.html").as_uri())
        over = page.locator(".qz-map svg:visible [data-module]").evaluate_all(
            """all => all.filter(stage => {
              const box = stage.querySelector(".qz-map-box").getBoundingClientRect();
              return [...stage.querySelectorAll("text")].some(t => t.getBoundingClientRect().right > box.right);
            }).map(stage => stage.getAttribute("aria-label"))"""
        )
        assert over == []


KEPT = "quizgen/1/charging-chain/of//result/"
ONE = {"tries": 2, "right": 2, "helped": 0, "last": "right", "slips": {}}
DAYS = ["2026-03-02", "2026-03-03"]


@pytest.mark.parametrize(
    ("done", "tried", "state", "words", "share"),
    [
        (0, 0, "fresh", "not begun", 0),
        (0, 1, "begun", "0 of {} done", 0.5),
        (2, 3, "begun", "2 of {} done", 0.5),
        (-1, -1, "done", "done", 1),
    ],
)
def test_a_stage_says_in_words_and_shape_how_far_its_module_is(
    page, course_site, serve, done, tried, state, words, share
) -> None:
    site = serve(course_site)
    page.goto(f"{site}/index.html")
    cells = page.locator('.qz-overview [data-module="supply"] i')
    questions = cells.evaluate_all("all => all.map(i => i.dataset.question)")
    tries = questions if tried < 0 else questions[:tried]
    for at, id in enumerate(tries):
        days = DAYS if done < 0 or at < done else []
        page.evaluate(
            "([key, text]) => localStorage.setItem(key, text)", [KEPT + id, json.dumps({**ONE, "days": days})]
        )
    page.reload()
    stage = page.locator('.qz-map svg:visible a[data-module="supply"]')
    said = words.format(len(questions))
    assert stage.get_attribute("data-state") == state
    assert stage.locator(".qz-map-tally").text_content() == said
    assert stage.get_attribute("aria-label").endswith(f", {said}")
    high = stage.locator(".qz-map-state rect").evaluate_all("all => all.map(r => r.getBoundingClientRect().height)")
    assert high[1] / (high[0]) == pytest.approx(share, abs=0.02)


def test_the_keyboard_goes_through_the_stages_in_order(page, course_site) -> None:
    page.goto((course_site / "index.html").as_uri())
    names = page.locator(".qz-map svg:visible a").evaluate_all("all => all.map(a => a.getAttribute('aria-label'))")
    page.locator(".qz-map svg:visible a").first.focus()
    walked = []
    for _ in names:
        walked.append(page.evaluate("document.activeElement.getAttribute('aria-label')"))
        page.keyboard.press("Tab")
    assert walked == names
    page.locator(".qz-map svg:visible a").first.focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/supply.html")
    assert page.locator(".qz-here").inner_text().startswith("You are here: Supply, stage 1 of 10")
