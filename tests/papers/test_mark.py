"""Marking: by the record alone, with follow-through and its guards; and everything that is refused."""

import json
import shutil
from dataclasses import replace
from datetime import timedelta

import pytest

from quizgen.commands import paper_issue
from quizgen.expression.program import run
from quizgen.marking.judge import key_value
from quizgen.papers.issue import Candidate, Maker
from quizgen.papers.mark import mark_sheet
from quizgen.papers.plain import issue_from, to_text
from quizgen.papers.second import key_faults, known_values
from quizgen.papers.sheet import FORM, made_sheet, sheet_bytes
from quizgen.records import ledger
from quizgen.records.verify import verify
from tests.papers.answers import right
from tests.papers.conftest import DAY, chance


@pytest.fixture(scope="module")
def issue(maker):
    return maker.batch([Candidate("A-07")], {}, DAY, DAY + timedelta(days=30), chance("mark")).issues[0]


def marked(issue, answers):
    return mark_sheet(issue, made_sheet(issue, answers), DAY.isoformat())


def place(issue, id):
    return next(at for at, one in enumerate(issue.questions) if one.id == id)


def test_all_right_is_full_marks_and_a_pass(issue):
    made = marked(issue, right(issue))
    assert (made.marks, made.passed, made.missed) == (issue.of, True, ())
    assert {box.verdict for one in made.questions for box in one.boxes} == {"right"}


def test_nothing_is_no_mark(issue):
    made = marked(issue, [["" for _ in one.marks] for one in issue.questions])
    assert made.marks == 0 and not made.passed and len(made.missed) == 3


def test_one_must_pass_question_wrong_fails_whatever_the_rest_is_worth(issue):
    answers = right(issue)
    at = place(issue, "paper-volts-come-back")
    answers[at] = [next(letter for letter in "abcd" if letter != answers[at][0])]
    made = marked(issue, answers)
    assert made.marks == issue.of - 2 and not made.passed and made.missed == ("paper-volts-come-back",)


def test_a_wrong_first_step_is_followed_through_and_named_but_never_where_it_must_be_right(bank, store):
    issue = (
        Maker(bank, bank.plans["whole-chain"], store)
        .batch([Candidate("A-07")], {}, DAY, DAY + timedelta(days=30), chance("chain"))
        .issues[0]
    )
    tried = 0
    for at, one in enumerate(issue.questions):
        if len(one.marks) < 2 or len(one.question["steps"]) != len(one.marks):
            continue
        first, second = one.question["steps"][:2]
        own = known_values(one) | {first["find"]: one.variant["answers"][0]["key"] * 1.17}
        mine, key = key_value(second["key"], own), one.variant["answers"][1]["key"]
        between = second["between"] or (mine, mine)
        if abs(mine - key) < 0.1 * abs(key) or not between[0] <= mine <= between[1]:
            continue
        answers = right(issue)
        answers[at][:2] = [f"{own[first['find']] / first['factor']:.7f}", f"{mine / second['factor']:.7f}"]
        boxes = marked(issue, answers).questions[at].boxes
        assert boxes[0].marks == 0 and (boxes[1].verdict, boxes[1].marks) == ("followed through", boxes[1].of)
        must = replace(issue, questions=tuple(replace(q, must=True) if q.id == one.id else q for q in issue.questions))
        assert marked(must, answers).questions[at].boxes[1].marks == 0
        tried += 1
    assert tried >= 3


def test_a_slip_is_named_in_the_words_of_the_bank(issue):
    answers = right(issue)
    for at, one in enumerate(issue.questions):
        for step, answer in zip(one.question.get("steps", ()), one.variant.get("answers", ()), strict=True):
            for slip in step["slips"]:
                wrong = run(slip["forms"][0], known_values(one)) if slip["forms"] and len(one.marks) == 1 else None
                if wrong and len(one.question["steps"]) == 1 and abs(wrong - answer["key"]) > 3 * answer["tolerance"]:
                    answers[at] = [f"{wrong / step['factor']:.7f}"]
                    box = marked(issue, answers).questions[at].boxes[0]
                    assert box.verdict == "slip" and box.says and box.marks == 0
                    return
    pytest.fail("no slip of this paper could be tried")


def test_the_record_comes_back_from_its_text_and_holds_all_that_marking_needs(issue, monkeypatch):
    again = issue_from(to_text(issue))
    assert key_faults(again) == []
    assert marked(again, right(again)).marks == issue.of


def test_a_changed_key_in_a_record_is_found_by_both_routes(issue):
    at = place(issue, "link-energy")
    one = issue.questions[at]
    answers = [{**one.variant["answers"][0], "key": one.variant["answers"][0]["key"] * 1.001}]
    broken = replace(one, variant={**one.variant, "answers": answers})
    questions = (*issue.questions[:at], broken, *issue.questions[at + 1 :])
    assert any(
        "does not follow from the printed numbers" in said for said in key_faults(replace(issue, questions=questions))
    )


# -- at the trainer's desk -------------------------------------------------------------------------------


def issued(desk, *codes, plan="safety-gate"):
    words = [word for code in codes for word in ("--for", code)]
    code, out, err = desk("paper", "issue", plan, *words, "--out", "out", "--json")
    assert code == 0, err
    return {one["code"]: one["number"] for one in json.loads(out)["papers"]}


def record(desk, number):
    from quizgen.records.signed import SignedStore

    return SignedStore(desk.folder / "records", lambda: "", lambda: None).issue_of(number)


def hand_in(desk, number, answers=None, name="form.json"):
    issue = record(desk, number)
    raw = sheet_bytes(made_sheet(issue, answers or right(issue)))
    (desk.folder / name).write_bytes(raw)
    return name


def entries(desk):
    with ledger.reading(desk.folder / "records") as connection:
        assert verify(connection) == []
        return [record.entry.kind for record in ledger.recorded(connection)]


def test_issue_mark_and_the_register_knows(desk):
    numbers = issued(desk, "A-07", "A-08")
    code, out, err = desk("paper", "mark", hand_in(desk, numbers["A-07"]))
    assert code == 0 and "passed, 42 of 42 marks" in out, err
    sheet = next((desk.folder / "records" / "mark-sheets").glob("A-07-*.html")).read_text(encoding="utf-8")
    assert "passed" in sheet and "33" in sheet and "default-src 'none'" in sheet
    code, out, _ = desk("register", "person", "A-07")
    assert "counts until 2027-11-25" in out
    assert entries(desk) == ["start", "issue", "issue", "return", "mark"]


def test_a_second_hand_in_is_refused_logged_and_changes_nothing(desk):
    number = issued(desk, "A-07")["A-07"]
    assert desk("paper", "mark", hand_in(desk, number))[0] == 0
    wrong = [["" for _ in one.marks] for one in record(desk, number).questions]
    code, _, said = desk("paper", "mark", hand_in(desk, number, wrong))
    assert code == 1 and "was handed in before" in said and said.count("\n") <= 2
    assert entries(desk) == ["start", "issue", "return", "mark", "refusal"]


def test_answers_from_another_candidate_s_paper_earn_only_what_fits(desk):
    numbers = issued(desk, "A-07", "A-08")
    mine, other = record(desk, numbers["A-07"]), record(desk, numbers["A-08"])
    by_id = {one.id: answers for one, answers in zip(other.questions, right(other), strict=True)}
    stolen = [by_id.get(one.id, ["" for _ in one.marks]) if one.variant else answers
              for one, answers in zip(mine.questions, right(mine), strict=True)]  # fmt: skip
    made = marked(mine, stolen)
    numeric = [(one, question) for one, question in zip(mine.questions, made.questions, strict=True) if one.variant]
    assert not any(box.verdict == "right" for one, question in numeric for box in question.boxes[-1:])


def altered(raw, change):
    data = json.loads(raw)
    change(data)
    return json.dumps(data).encode()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda d: d["answers"][0].__setitem__(0, "9 9"), "altered after it was saved"),
        (lambda d: d.__setitem__("code", "A-99"), "altered after it was saved"),
        (lambda d: d.__setitem__("paper", "../../x"), "altered"),
        (lambda d: d["answers"].pop(), "altered"),
        (lambda d: d.__setitem__("answers", [[["deep"]]]), "altered"),
        (lambda d: d["answers"][0].__setitem__(0, "<script>alert(1)</script>"), "altered after it was saved"),
        (lambda d: d["answers"][0].__setitem__(0, "a\x00b"), "altered"),
        (lambda d: d.__setitem__("more", "x"), "form"),
        (lambda d: d.__setitem__("v", 2), "form"),
    ],
)
def test_an_altered_form_is_refused_in_one_line(desk, change, says):
    number = issued(desk, "A-07")["A-07"]
    name = hand_in(desk, number)
    path = desk.folder / name
    path.write_bytes(altered(path.read_bytes(), change))
    code, _, said = desk("paper", "mark", name)
    assert code == 1 and says in said and "Traceback" not in said
    assert entries(desk) == ["start", "issue", "refusal"]
    # Nothing is lost: the honest form is still taken.
    assert desk("paper", "mark", hand_in(desk, number))[0] == 0


@pytest.mark.parametrize(
    "raw",
    [b"", b"\xff\xfe", b"[" * 200_000, b"{}", b'{"form": 1}', b"x" * 1_000_001, b'{"a":1,"a":2}', b"NaN"],
    ids=["empty", "no text", "deep", "no fields", "no form", "large", "doubled", "no number"],
)
def test_a_file_that_is_no_form_is_refused_in_one_line(desk, raw):
    issued(desk, "A-07")
    (desk.folder / "x.json").write_bytes(raw)
    code, _, said = desk("paper", "mark", "x.json")
    assert code == 1 and "x.json: refused" in said and "Traceback" not in said
    assert entries(desk)[-1] == "refusal"


def test_script_in_a_whole_form_is_text_on_the_mark_sheet(desk):
    number = issued(desk, "A-07")["A-07"]
    answers = [["<img src=x onerror=alert(1)>" for _ in one.marks] for one in record(desk, number).questions]
    assert desk("paper", "mark", hand_in(desk, number, answers))[0] == 0
    sheet = next((desk.folder / "records" / "mark-sheets").iterdir()).read_text(encoding="utf-8")
    assert "<img" not in sheet and "&lt;img" in sheet


def test_a_paper_of_another_shop_is_refused(desk):
    number = issued(desk, "A-07")["A-07"]
    name = hand_in(desk, number)
    shutil.rmtree(desk.folder / "records")
    assert desk("register", "start", "--name", "T", "--role", "trainer")[0] == 0
    code, _, said = desk("paper", "mark", name)
    assert code == 1 and "was not issued from these records" in said


def test_a_paper_past_its_day_needs_a_reason_that_is_kept(desk, monkeypatch):
    number = issued(desk, "A-07")["A-07"]
    name = hand_in(desk, number)
    monkeypatch.setattr(paper_issue, "today", lambda: DAY + timedelta(days=31))
    code, _, said = desk("paper", "mark", name)
    assert code == 1 and "was valid until 2026-12-25" in said
    code, out, _ = desk("paper", "mark", name, "--late", "the trainer was ill")
    assert code == 0 and "the trainer was ill" in out


def test_a_check_code_that_was_not_signed_is_refused(desk):
    number = issued(desk, "A-07")["A-07"]
    code, _, said = desk("paper", "mark", hand_in(desk, number), "--signed", "AAAA-AAAA")
    assert code == 1 and "is none of those signed" in said


def test_a_faulty_question_is_right_for_all_and_every_change_is_recorded(desk):
    numbers = issued(desk, "A-07", "A-08")
    issue = record(desk, numbers["A-07"])
    answers = right(issue)
    answers[place(issue, "link-energy")] = ["1"]
    assert desk("paper", "mark", hand_in(desk, numbers["A-07"], answers))[0] == 0
    code, out, _ = desk("paper", "void", "safety-gate", "link-energy", "--why", "two readings of the text")
    assert code == 0 and "40 marks, passed, became 42 marks, passed" in out
    assert entries(desk)[-2:] == ["void", "remark"]
    code, out, _ = desk("paper", "mark", hand_in(desk, numbers["A-08"]))
    assert code == 0 and "42 of 42" in out
    code, _, said = desk("paper", "void", "safety-gate", "link-energy", "--why", "again")
    assert code == 1 and "void already" in said


def test_typed_in_from_paper_twice_and_marked(desk, monkeypatch):
    number = issued(desk, "A-07")["A-07"]
    once = [text for texts in right(record(desk, number)) for text in texts]
    lines = iter([*once, *once[:-1], "typo", once[-1], once[-1]])  # until two typings agree
    monkeypatch.setattr("builtins.input", lambda: next(lines))
    code, out, err = desk("paper", "enter", number)
    assert code == 0 and "42 of 42 marks" in out and "you typed" in err


def test_stopping_while_typing_keeps_nothing(desk, monkeypatch):
    number = issued(desk, "A-07")["A-07"]
    monkeypatch.setattr("builtins.input", lambda: (_ for _ in ()).throw(EOFError))
    assert desk("paper", "enter", number)[0] == 1
    assert entries(desk) == ["start", "issue"]


def test_a_lost_page_comes_back_byte_for_byte_until_the_paper_is_handed_in(desk):
    number = issued(desk, "A-07")["A-07"]
    first = (desk.folder / "out" / f"A-07-{number}.html").read_bytes()
    code, out, _ = desk("paper", "page", number, "--out", "again")
    assert code == 0 and "byte for byte" in out
    assert (desk.folder / "again" / f"A-07-{number}.html").read_bytes() == first
    assert desk("paper", "mark", hand_in(desk, number))[0] == 0
    code, _, said = desk("paper", "page", number, "--out", "again")
    assert code == 1 and "handed in before" in said


def test_the_key_for_marking_by_hand_names_every_answer(desk):
    number = issued(desk, "A-07")["A-07"]
    assert desk("paper", "key", number, "--out", "keys")[0] == 0
    html = (desk.folder / "keys" / f"key-{number}.html").read_text(encoding="utf-8")
    assert html.count("<h3>Question") == 20


def test_editing_the_course_changes_nothing_for_issued_papers_and_is_reported(desk, bank):
    number = issued(desk, "A-07")["A-07"]
    from quizgen.papers.today import differences, today_data, today_from, today_of

    issue = record(desk, number)
    today = today_of(bank)
    assert differences(issue, today) == [] and today_from(json.loads(json.dumps(today_data(today)))) == today
    text = (bank.questions["link-energy"].text[0] + " Now changed.", *bank.questions["link-energy"].text[1:])
    changed = {**bank.questions, "link-energy": replace(bank.questions["link-energy"], text=text)}
    told = differences(issue, today_of(replace(bank, questions=changed)))
    assert len(told) == 1 and "link-energy" in told[0]


def test_the_form_says_what_it_is():
    assert FORM == "hand-in of a competence paper"
