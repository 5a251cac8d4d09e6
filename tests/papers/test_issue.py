"""Issuing papers: own numbers for everybody, pages that know nothing, papers alike in all that counts."""

import json
import re
from dataclasses import replace
from datetime import date, timedelta

import pytest

from quizgen.papers.issue import Candidate, Maker, PaperError
from quizgen.papers.page import page_html
from quizgen.papers.seal import page_of
from tests.papers.conftest import DAY, chance

LATER = DAY + timedelta(days=30)


def batch(maker, count, label="a", used=None, **more):
    candidates = [Candidate(f"A-{n:03}", **more) for n in range(count)]
    return maker.batch(candidates, used or {}, DAY, LATER, chance(label))


def variants(issues):
    """For each question the numbers that each paper prints, and the answers as shown."""
    made = {}
    for issue in issues:
        for one in issue.questions:
            if one.variant:
                given, answers = made.setdefault(one.id, ([], []))
                given.append(tuple(one.variant["given"]))
                answers.append(one.variant["answers"][-1]["shown"])
    return made


def test_no_two_papers_of_a_batch_share_numbers_or_an_answer(maker):
    for given, answers in variants(batch(maker, 36).issues).values():
        assert len(set(given)) == len(given) == 36
        assert len(set(answers)) == len(answers)


def test_a_second_batch_repeats_nothing_of_the_first(maker):
    first = batch(maker, 18)
    used = {id: [(*g, a) for g, a in zip(*both, strict=True)] for id, both in variants(first.issues).items()}
    second = batch(maker, 18, "b", used)
    for id, (given, answers) in variants(second.issues).items():
        before = variants(first.issues)[id]
        assert not set(given) & set(before[0]) and not set(answers) & set(before[1])


def test_when_no_numbers_are_left_nothing_is_issued(maker):
    with pytest.raises(PaperError, match="no numbers are left"):
        batch(maker, 2000)


@pytest.mark.parametrize("count", [60])
def test_many_papers_from_wide_ranges_share_nothing(bank, store, count):
    """The same rule on questions with many numbers; the bench does it for five hundred."""
    many = big_plan(bank, store, count)
    made = batch(Maker(bank, many, store), count)
    assert made.spread <= 0.02
    for given, answers in variants(made.issues).values():
        assert len(set(given)) == len(set(answers)) == count
    assert len({issue.number for issue in made.issues}) == count


def big_plan(bank, store, count):
    """The gate paper with only those questions that have so many sets of numbers."""
    from quizgen.variants.pool import counted_pool

    plan = bank.plans["safety-gate"]
    sections = []
    for section in plan.sections:
        kept = tuple(
            one for one in section.questions
            if section.kind != "numeric" or counted_pool(bank, bank.questions[one.question], store).variants >= count
        )  # fmt: skip
        if kept:
            sections.append(replace(section, questions=kept, take=min(section.take, len(kept))))
    assert sum(section.kind == "numeric" for section in sections) >= 2
    return replace(plan, sections=tuple(sections))


def test_numbers_of_papers_are_never_those_of_the_practice(maker, bank):
    for id, (given, _) in variants(batch(maker, 36).issues).items():
        shipped = {tuple(variant["given"]) for variant in maker.compiled[id]["variants"]}
        assert not shipped & set(given)


def test_papers_are_parallel_in_questions_steps_and_marks(maker):
    made = batch(maker, 20)
    shapes = {tuple(sorted((one.section, one.marks) for one in issue.questions)) for issue in made.issues}
    assert len(shapes) == 1
    assert made.spread <= 0.02 and made.words[1] - made.words[0] <= 0.1 * made.words[0]


def test_extra_time_and_large_print_are_the_candidate_s_own(maker):
    one, other = maker.batch(
        [Candidate("A-1", extra=25, large=True), Candidate("A-2")], {}, DAY, LATER, chance("c")
    ).issues
    assert (one.minutes, other.minutes) == (94, 75)
    assert one.large and not other.large


# -- the page knows nothing ---------------------------------------------------------------------------


def emptied(value):
    """The record with every key, slip, tolerance, formula and word of feedback changed; givens pinned."""
    secret = {
        "key",
        "tolerance",
        "slips",
        "general",
        "between",
        "worked",
        "says",
        "content",
        "right",
        "counts",
        "either_way",
    }
    if isinstance(value, dict):
        return {name: "CHANGED" if name in secret else emptied(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [emptied(inner) for inner in value]
    return value


def test_the_page_stays_the_same_byte_for_byte_when_all_that_is_secret_changes(maker):
    made = batch(maker, 3)
    for issue, page in zip(made.issues, made.pages, strict=True):
        blind = tuple(
            replace(one, question=emptied(one.question), second=(), variant={
                "given": one.variant["given"], "answers": [{"shown": "9"} for _ in one.variant["answers"]],
            } if one.variant else {})
            for one in issue.questions
        )  # fmt: skip
        assert page_html(page_of(replace(issue, questions=blind, versions={}, note="x", page_hash=""))) == page


def test_nothing_but_givens_words_and_a_number_is_in_the_page(maker, bank):
    made = batch(maker, 6)
    for issue, page in zip(made.issues, made.pages, strict=True):
        shown = re.sub(r"<script>.*?</script>|<style>.*?</style>", "", page, flags=re.DOTALL)
        for one in issue.questions:
            assert one.id not in page
            for answer in one.variant.get("answers", ()):
                if isinstance(answer.get("key"), float):
                    assert repr(answer["key"]) not in page
            for law in one.second:
                assert json.dumps(law) not in page and str(law.get("form", "\0")) not in shown
            for option in one.question.get("options", ()):
                if isinstance(option, dict):
                    assert option["says"] not in page
        assert "fetch(" not in page and "localStorage" not in page and "://" not in page
        assert "default-src 'none'" in page


def test_what_papers_only_ask_is_on_no_page_of_the_site(bank, site):
    secret = [question for question in bank.questions.values() if question.papers == "only"]
    assert len(secret) >= 15
    texts = [path.read_text(encoding="utf-8", errors="ignore") for path in site.rglob("*") if path.is_file()]
    whole = "\n".join(texts)
    for question in secret:
        start = next(part for part in question.text if isinstance(part, str))[:60]
        assert start not in whole and f'"{question.id}"' not in whole and f"q-{question.id}" not in whole


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    import os
    import subprocess
    import sys

    from tests.papers.conftest import COURSE

    folder = tmp_path_factory.mktemp("site")
    subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "-q", "-f", str(COURSE.parent / "mkdocs.yml"), "-d", str(folder)],
        check=True, cwd=COURSE.parent, env={**os.environ, "NO_MKDOCS_2_WARNING": "1"}, capture_output=True,
    )  # fmt: skip
    return folder


# -- refused ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("candidates", "until", "says"),
    [
        ([], LATER, "nobody"),
        ([Candidate("../A")], LATER, "no code"),
        ([Candidate("<script>")], LATER, "no code"),
        ([Candidate("A-1"), Candidate("A-1")], LATER, "named twice"),
        ([Candidate("A-1")], date(2026, 11, 24), "over already"),
        ([Candidate("A-1")], date(2029, 1, 1), "one year at most"),
        ([Candidate("A-1", extra=900)], LATER, "extra time"),
        ([Candidate("A-1", attempt=4)], LATER, "has had all 3 attempts"),
    ],
)
def test_what_cannot_be_issued_says_why(maker, candidates, until, says):
    with pytest.raises(PaperError, match=says):
        maker.batch(candidates, {}, DAY, until, chance("d"))


def test_attempts_wait_and_are_limited(desk):
    def issue():
        return desk("paper", "issue", "safety-gate", "--for", "A-07", "--out", "out")

    assert issue()[0] == 0
    code, _, said = issue()
    assert code == 1 and "still has paper" in said


def test_a_plan_that_is_none_and_a_missing_register_are_told(desk, monkeypatch, tmp_path):
    code, _, said = desk("paper", "issue", "safety-gat", "--for", "A-07", "--out", "out")
    assert code == 1 and "Did you mean safety-gate" in said
    (tmp_path / "records" / "register.sqlite").unlink()
    code, _, said = desk("paper", "issue", "safety-gate", "--for", "A-07", "--out", "out")
    assert code == 1 and "quizgen register start" in said and not (tmp_path / "out").exists()


def test_checking_a_plan_proves_numbers_mark_and_guessing(bank, store, maker):
    from quizgen.papers.prove import prove

    plan = bank.plans["safety-gate"]
    proof, faults = prove(bank, plan, maker.compiled, store)
    assert faults == [] and proof.fewest >= proof.needed == 36 and proof.guess < 0.001
    assert [round(row.share, 2) for row in proof.table] == [0.6, 0.7, 0.8, 0.9, 0.95]
    many = replace(plan, candidates=2000)
    assert "sets of numbers" in prove(bank, many, maker.compiled, store)[1][0].message
    low = replace(plan, pass_mark=5)
    assert "the judges' mark is" in prove(bank, low, maker.compiled, store)[1][0].message
    easy = replace(plan, sections=tuple(replace(s, must=s.kind == "choice" and s.id == "stop") for s in plan.sections))
    assert "guessing passes the must-pass" in prove(bank, easy, maker.compiled, store)[1][0].message
