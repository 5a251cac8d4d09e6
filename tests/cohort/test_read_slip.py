"""Slips from anybody: what is damaged, foreign, huge or hostile is named with what to do, and the rest is taken."""

import json
import os
import struct
from datetime import date

import pytest

from quizgen.cohort.collect import collect
from quizgen.cohort.progress_slip import joined, last_answer
from quizgen.cohort.read_slip import LONGEST, Refused, read_slips
from quizgen.cohort.slip_message import slip_text
from quizgen.variants.slip_names import salts
from tests.cohort.slips import COURSE, SAVED, as_file, learner, small_names

TODAY = date.fromisoformat(SAVED)
NAMES = small_names()
GOOD = learner(NAMES, 1)
FILE = as_file(GOOD)


def read(text):
    found = list(read_slips(text, COURSE, NAMES, TODAY))
    assert len(found) == 1
    return found[0]


def changed(**what):
    return json.dumps({**FILE, **what})


def question(**what):
    one = {"tries": 1, "right": 1, "helped": 0, "days": [], "lately": [], "slips": {}, **what}
    return changed(results={"question-0": one})


def test_a_good_slip_is_read_whole():
    assert read(json.dumps(FILE)) == GOOD
    assert read("\ufeff \n" + json.dumps(FILE)) == GOOD


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "no progress slip is in it"),
        ("see you tomorrow", "no progress slip is in it"),
        (json.dumps(FILE)[:-9], "a part of it is missing"),
        ("{" * 100_000, "a part of it is missing"),
        ('{"file": ' + "[" * 50_000 + "]" * 50_000 + "}", "no progress slip"),
        ('{"file": "progress", "version": 1e999}', "a part of it is missing"),
        ('{"file": "progress", "version": ' + "9" * 5000 + "}", "a part of it is missing"),
        (changed(version=2), "newer edition"),
        (changed(version=0), "damaged at version"),
        (changed(version=True), "damaged at version"),
        (changed(version="1"), "damaged at version"),
        (changed(file="practice"), "delete it and ask for a progress slip"),
        (changed(file="assignment"), "goes the other way"),
        (changed(file=["progress"]), "no progress slip"),
        (changed(course="pump-basics"), "another course (pump-basics)"),
        (changed(course="<script>alert(1)</script>"), "another course: name"),
        (changed(course={"a": 1}), "another course"),
        (changed(code="../../etc/passwd"), "damaged at code"),
        (changed(code="Robin Sample"), "damaged at code"),
        (changed(code=7), "damaged at code"),
        (changed(code=""), "damaged at code"),
        (changed(saved="yesterday"), "damaged at saved"),
        (changed(saved="2026-02-31"), "damaged at saved"),
        (changed(saved="2026-W48-6"), "damaged at saved"),
        (changed(saved="2031-01-01"), "still to come"),
        (changed(results=[]), "damaged at results"),
        (changed(results={f"q-{n}": {} for n in range(6000)}), "damaged at results"),
        (changed(results={"__proto__": {}}), "no question can have"),
        (changed(results={"<img src=x>": {}}), "no question can have"),
        (changed(results={"a/../b": {}}), "no question can have"),
        (changed(results={"question-0": None}), "damaged at results, at question-0"),
        (question(tries=-1), "damaged at results"),
        (question(tries=1.5), "a part of it is missing"),
        (question(tries=float("nan")), "a part of it is missing"),
        (question(tries=float("inf")), "a part of it is missing"),
        (question(tries=True), "damaged at results"),
        (question(tries="3"), "damaged at results"),
        (question(tries=10**9), "damaged at results"),
        (question(days="2026-11-01"), "damaged at results"),
        (question(days=["2026-13-01"]), "damaged at results"),
        (question(days=["2026-11-01"] * 401), "damaged at results"),
        (question(lately=["2026-11-01?"]), "damaged at results"),
        (question(lately=["2026-11-01+"] * 11), "damaged at results"),
        (question(lately=[["2026-11-01+"]]), "damaged at results"),
        (question(slips={"sign": -1}), "damaged at results"),
        (question(slips={"x" * 101: 1}), "damaged at results"),
        (question(slips={str(n): 1 for n in range(101)}), "damaged at results"),
        ("SLIP1 AAAA.", "damaged (its check sum does not fit)"),
        ("SLIP1 .", "damaged"),
        ("SLIP1 AAAA", "the end of the text is missing"),
        (slip_text("other-course", GOOD, NAMES, salts(NAMES)), "another course"),
    ],
)
def test_what_cannot_be_taken_says_why_and_what_to_do(text, why):
    made = read(text)
    assert isinstance(made, Refused), made
    assert why in str(made)
    assert "<" not in str(made)


def test_strange_names_of_slips_stay_names():
    made = read(question(slips={"__proto__": 2, "<b>": 1, "constructor": 1}))
    assert made.results["question-0"].slips == (("<b>", 1), ("__proto__", 2), ("constructor", 1))


def test_dates_after_the_day_of_saving_do_not_count():
    made = read(question(days=["2026-11-27", "2030-01-01"], lately=["2026-11-27+", "2030-01-01+"]))
    assert (made.results["question-0"].days, made.ahead) == (("2026-11-27",), 1)
    assert last_answer(made) == "2026-11-27"


def test_old_names_count_as_the_new_ones_and_removed_questions_are_counted():
    made = read(changed(results={**FILE["results"], "old-name": {"tries": 99}, "gone": {"tries": 1}}))
    assert made.results["question-0"].tries == 99
    assert made.unknown == 1


def test_results_of_earlier_versions_without_last_answers_read():
    made = read(changed(results={"question-0": {"tries": 3, "right": 2, "days": ["2026-11-20"]}}))
    assert made.results["question-0"][:5] == (3, 2, 0, 1, False)
    assert last_answer(made) == "2026-11-20"


# Joining


def test_joining_a_slip_with_itself_changes_nothing():
    twice = joined(GOOD, GOOD)
    assert (twice.results, twice.saved, twice.joined) == (GOOD.results, GOOD.saved, 2)


def test_an_older_slip_of_the_same_device_adds_nothing_and_another_device_does():
    older = learner(NAMES, 1, saved="2026-11-20")
    half = {id: one for id, one in older.results.items() if id < "question-5"}
    old = type(older)(older.code, older.saved, {id: one._replace(tries=1, slips=()) for id, one in half.items()})
    made = joined(GOOD, old)
    assert made.saved == SAVED and made == joined(old, GOOD)
    assert made.results.keys() == GOOD.results.keys() | half.keys()
    for id, one in GOOD.results.items():
        assert made.results[id].tries == one.tries and made.results[id].slips == one.slips


@pytest.mark.parametrize(
    ("one", "other", "wanted"),
    [
        ((), ("2026-11-01+",), ("2026-11-01+",)),
        (("2026-11-01+",), ("2026-11-01+",), ("2026-11-01+",)),
        (("2026-11-01-",), ("2026-11-01-", "2026-11-02+"), ("2026-11-01-", "2026-11-02+")),
        (("2026-11-01-", "2026-11-03+"), ("2026-11-02+",), ("2026-11-01-", "2026-11-02+", "2026-11-03+")),
    ],
)
def test_last_answers_join_without_counting_twice(one, other, wanted):
    from quizgen.cohort.progress_slip import joined_answers

    assert joined_answers(one, other) == wanted == joined_answers(wanted, other)


# Many at once


def hand_in(folder, **files):
    for name, body in files.items():
        path = folder / name.replace("__", ".")
        path.write_bytes(body if isinstance(body, bytes) else body.encode())


def gathered(*sources, codes=None):
    return collect([str(one) for one in sources], COURSE, NAMES, TODAY, codes)


def test_a_folder_is_read_and_what_is_wrong_in_it_is_named(tmp_path):
    other = json.dumps({**FILE, "code": "B-99"})
    text = slip_text(COURSE, learner(NAMES, 3, code="a-08"), NAMES, salts(NAMES))
    hand_in(
        tmp_path, good__json=json.dumps(FILE), double__json=json.dumps(FILE), foreign__json=other,
        broken__json="{", binary__txt=b"\xff\xfe\x00" + struct.pack("d", 1.0), huge__json=" " * (LONGEST + 1),
        notes__md="milk", message__txt=f"Hi\n> {text}",
    )  # fmt: skip
    (tmp_path / "link.json").symlink_to("/etc/passwd")
    os.mkfifo(tmp_path / "pipe.json")
    found = gathered(tmp_path, codes=("A-07", "A-08"))
    assert [slip.code for slip in found.slips()] == ["A-07", "A-08"]
    assert found.doubles == 1
    assert {one.where: one.why.split(":")[0] for one in found.skipped} == {
        "foreign.json": "B-99 is not in the group", "broken.json": "it is no progress slip, or a part of it is missing",
        "binary.txt": "it is no text", "huge.json": "it is too large for a progress slip",
        "link.json": "it is no file of its own", "pipe.json": "it is no file of its own",
    }  # fmt: skip
    assert any("1 file ends neither" in note for note in found.notes)


def test_texts_files_and_what_is_typed_in_come_together(tmp_path, monkeypatch):
    import io

    text = slip_text(COURSE, learner(NAMES, 3, code="A-08"), NAMES, salts(NAMES))
    piped = slip_text(COURSE, learner(NAMES, 4, code="A-09"), NAMES, salts(NAMES))
    monkeypatch.setattr("sys.stdin", io.StringIO(f"one\n{piped}\n"))
    hand_in(tmp_path, a__json=json.dumps(FILE))
    found = gathered(tmp_path / "a.json", text, "-", tmp_path / "nowhere.json")
    assert [slip.code for slip in found.slips()] == ["A-07", "A-08", "A-09"]
    assert [one.why for one in found.skipped] == [
        "there is no such file: name files, folders, or a text in quotation marks"
    ]


def test_a_name_of_a_file_cannot_move_the_cursor(tmp_path):
    hand_in(tmp_path, **{"x\x1b[2J\nfine__json": "{"})
    (one,) = gathered(tmp_path).skipped
    assert one.where == "x?[2J?fine.json"


def test_the_newest_slip_of_a_code_gives_the_day_and_older_ones_are_joined(tmp_path):
    older = {**FILE, "saved": "2026-11-20", "results": {"question-0": {"tries": 99}}}
    hand_in(tmp_path, a__json=json.dumps(FILE), b__json=json.dumps(older))
    (slip,) = gathered(tmp_path).slips()
    assert (slip.saved, slip.joined, slip.results["question-0"].tries) == (SAVED, 2, 99)


def test_what_does_not_fit_into_a_text_or_lies_ahead_is_told(tmp_path):
    ahead = question(lately=["2030-01-01+"])
    names = small_names(900)
    text = slip_text(COURSE, learner(names, 5, wrongs=3, code="B-01"), names, salts(names))
    hand_in(tmp_path, a__json=ahead)
    found = collect([str(tmp_path), text], COURSE, names, TODAY)
    assert any("1 date was after the day of saving" in note for note in found.notes)
    assert any("older questions did not fit" in note for note in found.notes)
