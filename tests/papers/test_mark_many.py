"""Many forms in one run: batches are whole, one bad form spoils no other, and only a batch is held in memory."""

import gc
import json
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from quizgen import ahead
from quizgen.commands import mark_sheets, paper_mark
from quizgen.papers import plain
from quizgen.papers.plain import PlainError, issue_from, issue_within, to_text
from quizgen.papers.shared import PLAIN, WITHIN, apart
from quizgen.papers.types import Issue
from quizgen.records import ledger
from tests.papers.test_mark import altered, entries, hand_in, issued

CODES = [f"A-{n:02}" for n in range(1, 8)]


@pytest.fixture
def forms(desk, monkeypatch):
    """Seven forms, marked three at a time."""
    monkeypatch.setattr(paper_mark, "AT_ONCE", 3)
    numbers = issued(desk, *CODES)
    return [hand_in(desk, number, name=f"{code}.json") for code, number in numbers.items()]


def told(desk, *words):
    code, out, err = desk("paper", "mark", *words, "--json")
    return code, json.loads(out or err)


def test_forms_of_several_batches_are_kept_in_their_order(desk, forms):
    code, data = told(desk, *forms)
    assert code == 0 and [one["file"] for one in data["papers"]] == forms
    assert entries(desk) == ["start", *["issue"] * 7, *["return", "mark"] * 7]
    assert len(list((desk.folder / "records" / "mark-sheets").glob("A-*.html"))) == 7


def test_bad_forms_in_the_middle_of_a_batch_spoil_no_other(desk, forms):
    forged = desk.folder / forms[1]
    forged.write_bytes(altered(forged.read_bytes(), lambda data: data["answers"][0].__setitem__(0, "9 9")))
    code, data = told(desk, forms[0], forms[1], forms[2], "none.json", forms[0], forms[3])
    assert code == 1
    refused = [one.get("refused", "") for one in data["papers"]]
    assert "altered after it was saved" in refused[1] and "no such file" in refused[3]
    assert [bool(one) for one in refused] == [False, True, False, True, True, False]
    assert entries(desk)[8:] == ["return", "mark", "refusal", "return", "mark", "refusal", "return", "mark"]


def test_a_form_that_comes_twice_in_one_batch_is_marked_once(desk, forms):
    code, data = told(desk, forms[0], forms[0], forms[1])
    assert code == 1 and "It is the same form" in data["papers"][1]["refused"]
    assert entries(desk)[8:] == ["return", "mark", "refusal", "return", "mark"]


def test_a_run_that_stops_says_what_is_kept_and_given_again_it_ends(desk, forms, monkeypatch):
    made, seen = paper_mark.mark_sheet, []

    def damaged(issue, *more):
        seen.append(issue)
        if len(seen) == 5:
            raise PlainError("a kept issue is damaged: take the backup")
        return made(issue, *more)

    monkeypatch.setattr(paper_mark, "mark_sheet", damaged)
    code, _, said = desk("paper", "mark", *forms)
    assert code == 1 and "a kept issue is damaged" in said and "The 4 forms above are kept. 3 were not" in said
    assert entries(desk)[8:] == ["return", "mark"] * 4
    monkeypatch.undo()
    monkeypatch.chdir(desk.folder)
    monkeypatch.setenv("QUIZGEN_PASSPHRASE", "three old wooden crates")
    code, data = told(desk, *forms, "--late", "stopped before")
    assert [one.get("refused", "")[-40:] for one in data["papers"]].count("") == 3
    assert entries(desk).count("mark") == 7


def test_of_many_forms_only_one_batch_is_in_memory(desk, forms, monkeypatch):
    most = []
    made = mark_sheets.marksheet_html

    def counted(*words):
        most.append(sum(isinstance(one, Issue) for one in gc.get_objects()))
        return made(*words)

    monkeypatch.setattr(mark_sheets, "TOGETHER", 3)
    monkeypatch.setattr(ahead, "cores", lambda: 1)  # what another process holds cannot be counted here
    gc.collect()
    before = sum(isinstance(one, Issue) for one in gc.get_objects())
    monkeypatch.setattr(mark_sheets, "marksheet_html", counted)
    assert desk("paper", "mark", *forms)[0] == 0
    assert len(most) == 7 and max(most) <= before + paper_mark.AT_ONCE + 1


def test_another_writer_gets_in_between_two_batches_and_is_told_within_one(desk, forms, monkeypatch):
    folder, batch, take, refused = desk.folder / "records", paper_mark._mark_batch, paper_mark._take, []

    def write():
        with ledger.writing(folder, "three old wooden crates", datetime.now(UTC)) as pen:
            pen.add("observation", "", {"day": "2026-11-25"})

    def between(*words):
        batch(*words)
        write()

    def within(*words):
        with monkeypatch.context() as short:
            short.setattr(ledger, "PATIENCE", 0.01)
            with pytest.raises(ledger.RegisterError, match="another program is writing"):
                write()
        refused.append(1)
        return take(*words)

    monkeypatch.setattr(paper_mark, "_mark_batch", between)
    monkeypatch.setattr(paper_mark, "_take", within)
    assert desk("paper", "mark", *forms)[0] == 0
    one = ["return", "mark"]
    assert len(refused) == 7
    assert entries(desk)[8:] == [*one * 3, "observation", *one * 3, "observation", *one, "observation"]


def test_a_line_of_progress_is_for_terminals_and_many_forms(desk, forms, monkeypatch):
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    _, _, err = desk("paper", "mark", *forms)
    assert "3 of 7 forms are kept" in err and err.endswith("\r")
    _, _, err = desk("paper", "mark", forms[0])
    assert "forms are kept" not in err


def test_a_record_read_in_parts_is_the_record_read_as_one(maker, monkeypatch):
    from datetime import timedelta

    from quizgen.papers.issue import Candidate
    from tests.papers.conftest import DAY, chance

    issue = maker.batch([Candidate("A-07")], {}, DAY, DAY + timedelta(days=30), chance("parts")).issues[0]
    strange = {"question": {"a": 1}, "second": ["x"], "says": '"question":{"},"second":[],"section":"'}
    closed = {"question": {"a": 1}, "second": ["x"], "section": "x"}
    one = issue.questions[0]
    odd, again = (
        replace(issue, questions=(replace(one, question={**one.question, "odd": more}), *issue.questions[1:]))
        for more in (strange, closed)
    )
    text = replace(issue, note='"question":{ },"second":[ "question":null],"section":"')
    for made in (issue, odd, again, text):
        kept = to_text(made)
        entry = json.dumps({"paper": kept, "day": "x"}, ensure_ascii=False)
        cut = [len(apart(kept, PLAIN)[1]), len(apart(entry, WITHIN)[1])]
        assert cut == ([len(issue.questions)] * 2 if made in (issue, text) else [0, 0])
        parts, (_, within) = issue_from(kept), issue_within(entry)
        with monkeypatch.context() as plainly:
            plainly.setattr(plain, "apart", lambda text, quote: (text, []))
            assert parts == within == issue_from(kept)
        assert to_text(parts) == kept
