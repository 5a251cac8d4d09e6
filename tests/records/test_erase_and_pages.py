"""Erasing a person, and the register on paper."""

import re
from datetime import date

import pytest

from quizgen.records import ledger, pages, report
from quizgen.records.add import erase
from quizgen.records.ledger import RegisterError
from quizgen.records.verify import verify

SCRIPT = "<img src=x onerror=alert(1)>"


def test_erasing_takes_code_name_and_contents_and_the_chain_still_verifies(shop):
    shop.observe("A-07", name="Robin Wagner")
    shop.observe("A-08")
    shop.write(lambda pen: erase(pen, "A-07", "left the depot"))
    with ledger.reading(shop.folder) as connection:
        assert verify(connection) == []
        assert [code for code, _ in ledger.people(connection).values()] == ["A-08"]
        assert [record.body is None for record in ledger.recorded(connection)] == [False, True, False, False]
    body = (shop.folder / ledger.FILE).read_bytes()
    assert b"A-07" not in body and b"Robin Wagner" not in body, "what is erased is overwritten in the file, too"
    assert b"A-08" in body


def test_an_erased_code_may_come_back_as_a_new_person(shop):
    shop.observe("A-07")
    shop.write(lambda pen: erase(pen, "A-07", "asked for it"))
    shop.observe("A-07")
    with ledger.reading(shop.folder) as connection:
        assert verify(connection) == []
        ref = ledger.person_of(connection, "A-07")
        assert len(list(ledger.recorded(connection, ref))) == 1


def test_erasing_needs_a_reason_and_a_person(shop):
    shop.observe("A-07")
    for code, why in (("A-07", " "), ("A-99", "x")):
        with pytest.raises(RegisterError):
            shop.write(lambda pen, code=code, why=why: erase(pen, code, why))
    with ledger.reading(shop.folder) as connection:
        assert len(list(ledger.recorded(connection))) == 2


@pytest.fixture
def board(shop):
    shop.observe("A-07", name=SCRIPT)
    shop.add("suspension", "A-07", why=f"seen with {SCRIPT}")
    with ledger.reading(shop.folder) as connection:
        return report.report(connection, shop.course, date(2026, 1, 12))


def test_the_board_says_day_head_and_that_it_authorises_nobody(board):
    html = pages.board_html(board, "Depot: register")
    assert "Checked on 2026-01-12" in html and board["head"] in html
    assert "It authorises nobody." in html
    assert len(re.findall(r'<th scope="col">', html)) == 1 + 3


def test_every_state_stands_in_words(board):
    html = pages.board_html(board, "Depot: register")
    assert html.count("<b>\u2715 suspended</b>") == 3


def test_names_and_reasons_are_text_and_nothing_else(board, shop):
    with ledger.reading(shop.folder) as connection:
        one = report.person(connection, shop.course, ledger.person_of(connection, "A-07"), date(2026, 1, 12))
    for html in (pages.board_html(board, SCRIPT), pages.person_html(one)):
        assert "<img" not in html and "&lt;img" in html
        assert "default-src 'none'" in html


def test_a_person_s_sheet_holds_every_entry(board, shop):
    with ledger.reading(shop.folder) as connection:
        one = report.person(connection, shop.course, ledger.person_of(connection, "A-07"), date(2026, 1, 12))
    assert [record["kind"] for record in one["records"]] == ["observation", "suspension"]
    assert pages.person_html(one).count("<h3>Entry") == 2
