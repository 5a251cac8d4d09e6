"""Tables of sentences on the course's pages, on a phone, a wide screen and paper."""

import pytest

from tests.browser.workbench import settled

TABLE = ".qz-rows table"
LEFTS = "rows => rows.map(row => [...row.cells].map(cell => cell.getBoundingClientRect().left))"
SAID = "cells => cells.map(cell => getComputedStyle(cell, '::before').content)"


@pytest.fixture
def module(page, course_site):
    page.goto((course_site / "boost.html").as_uri())
    settled(page)
    return page


def test_on_a_phone_each_row_is_a_block_whose_cells_say_what_they_are(module):
    module.set_viewport_size({"width": 360, "height": 800})
    rows = module.locator(f"{TABLE} tbody tr")
    assert rows.count() > 5
    assert all(len(set(lefts)) == 1 for lefts in rows.evaluate_all(LEFTS))
    said = rows.first.locator("td").evaluate_all(SAID)
    assert said[0] == "none" and said[1].startswith('"Why it happens: "')
    wide = module.evaluate("document.documentElement.scrollWidth")
    assert wide <= 360


@pytest.mark.parametrize("media", ["screen", "print"])
def test_where_there_is_room_they_are_columns(module, media):
    module.set_viewport_size({"width": 1280, "height": 800})
    module.emulate_media(media=media)
    rows = module.locator(f"{TABLE} tbody tr")
    assert all(len(set(lefts)) == len(lefts) for lefts in rows.evaluate_all(LEFTS))
    assert set(rows.first.locator("td").evaluate_all(SAID)) == {"none"}


def test_whoever_listens_to_the_page_still_hears_a_table(module):
    module.set_viewport_size({"width": 360, "height": 800})
    table = module.get_by_role("table").filter(has_text="Why it happens").first
    assert table.get_by_role("columnheader").count() == 3
    assert table.get_by_role("row").nth(1).get_by_role("cell").count() == 3
