"""What a group's slips say: the slip most made, questions that go wrong, who is late, has stopped, or is ready."""

import csv
import io
import json
import shutil
from datetime import date
from html import escape
from pathlib import Path

import pytest

from quizgen import cli
from quizgen.cohort.progress import GENERAL_WORDS
from quizgen.cohort.read_slip import read_file
from quizgen.cohort.slip_message import GENERALS, slip_text
from quizgen.cohort.statistics import wilson
from quizgen.commands import progress
from quizgen.variants.general import GENERAL
from quizgen.variants.slip_names import salts

WORKBENCH = Path(__file__).parents[1] / "courses" / "workbench"
TODAY = "2026-11-28"
ONE, TWO, CHOICE = "heater-current", "heater-and-hours", "what-warms-up"
GROUP = """group: autumn-depot
course: workbench
learners:
  - A-01
  - A-02
  - A-03
  - A-04
done:
  right: 2
  of last: 3
  on days: 2
assigned:
  heat:
    due: {due}
"""


def question(*answers, **slips):
    """Counts of a question from its last answers."""
    alone = sorted({one[:10] for one in answers if one[10] == "+"})
    return {
        "tries": len(answers), "right": sum(one[10] != "-" for one in answers),
        "helped": sum(one[10] == "h" for one in answers), "days": alone, "lately": list(answers),
        "slips": {name.replace("_", "-"): times for name, times in slips.items()},
    }  # fmt: skip


@pytest.fixture
def shop(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(progress, "today", lambda: date.fromisoformat(TODAY))
    shutil.copytree(WORKBENCH, tmp_path / "course", ignore=shutil.ignore_patterns(".*"))
    (tmp_path / "in").mkdir()
    (tmp_path / "group.yml").write_text(GROUP.format(due="2026-11-27"), "utf-8")
    hand_in("A-01", {
        ONE: question("2026-11-20-", "2026-11-21+", "2026-11-22+", upside_down=1),
        CHOICE: question("2026-11-22+"),
    })  # fmt: skip
    hand_in("A-02", {ONE: question("2026-11-27-", "2026-11-27-", upside_down=2), TWO: question("2026-11-27h")})
    hand_in("A-03", {ONE: question("2026-11-10-", "2026-11-10-", "2026-11-10+", power_of_ten=1)})
    return tmp_path


def hand_in(code, results, saved=TODAY):
    file = {"file": "progress", "version": 1, "course": "workbench", "code": code, "saved": saved, "results": results}
    Path("in", f"{code}.json").write_text(json.dumps(file), "utf-8")


def run(*words):
    return cli.main(["progress", *(words or ("in",)), "--course", "course"])


def data(capsys, *words):
    assert run("in", "--group", "group.yml", "--json", *words) == 0
    return json.loads(capsys.readouterr().out)


def by_code(found):
    return {one["code"]: one for one in found["learners"]}


def test_the_slip_that_most_people_made_comes_first_in_the_words_of_the_bank(shop, capsys):
    first, second = data(capsys)["slips"]
    assert (first["slip"], first["people"], first["of"], first["times"]) == ("upside-down", 2, 3, 3)
    assert first["says"] == "You divided voltage by power. A stronger heater draws more current."
    assert first["codes"] == ["A-01", "A-02"]
    assert first["interval"] == list(wilson(2, 3))
    assert (second["slip"], second["people"], second["of"]) == ("power-of-ten", 1, 3)


def test_facility_counts_each_person_once_and_the_surest_trouble_comes_first(shop, capsys):
    asked = {one["id"]: one for one in data(capsys)["questions"]}
    one = asked[ONE]
    assert (one["tried"], one["alone"], one["answers"], one["right"]) == (3, 2, 8, 3)
    assert one["facility"] == pytest.approx((2 / 3 + 0 + 1 / 3) / 3)
    assert one["interval"] == list(wilson(2, 3))
    assert [asked[TWO]["alone"], asked[TWO]["helped"], asked[TWO]["facility"]] == [0, 1, 1.0]
    assert list(asked)[0] == TWO  # none of one had it alone: the interval ends lowest


def test_done_late_stopped_ready_and_missing_are_told_apart(shop, capsys):
    found = by_code(data(capsys))
    assert {code: (one["items"][0]["done"], one["items"][0]["late"]) for code, one in found.items()} == {
        "A-01": (True, False), "A-02": (False, True), "A-03": (False, True), "A-04": (False, True),
    }  # fmt: skip
    assert [code for code, one in found.items() if one["ready"]] == ["A-01"]
    assert [code for code, one in found.items() if one["stopped"]] == ["A-03"]
    assert found["A-04"]["saved"] == ""
    assert run("in", "--group", "group.yml") == 0
    said = capsys.readouterr().out
    assert "A-03: last answer 2026-11-10" in said and "No slip came from:\n  A-04" in said
    assert "A-04: Heat, due" not in said and "due 2026-11-27, no slip" in said


@pytest.mark.parametrize("form", ["a file", "a text"])
def test_a_long_sitting_does_not_undo_an_earlier_day(shop, capsys, form):
    """Ten right answers today, one in another question three weeks ago: two days, in whatever form it comes."""
    results = {ONE: question("2026-11-07+"), TWO: question(*[f"{TODAY}+"] * 10)}
    hand_in("A-02", results)
    if form == "a text":
        names = progress._course(Path("course").resolve())[1]
        slip = read_file(Path("in", "A-02.json").read_text("utf-8"), "workbench", names, date.fromisoformat(TODAY))
        Path("in", "A-02.json").unlink()
        Path("in", "A-02.txt").write_text(slip_text("workbench", slip, names, salts(names)), "utf-8")
    (item,) = by_code(data(capsys))["A-02"]["items"]
    assert (item["done"], item["right"], item["of"], item["days"]) == (True, 3, 3, 2)


def test_how_long_is_stopped_can_be_said(shop, capsys):
    assert not any(one["stopped"] for one in data(capsys, "--stopped-after", "30")["learners"])


def test_nobody_is_late_before_the_day_is_over(shop, capsys):
    Path("group.yml").write_text(GROUP.format(due=TODAY), "utf-8")
    assert not any(item["late"] for one in data(capsys)["learners"] for item in one["items"])


def test_without_a_group_it_counts_whoever_handed_in(shop, capsys):
    hand_in("Z-99", {ONE: question("2026-11-27+")})
    assert run("in") == 0
    said = capsys.readouterr().out
    assert "Z-99" in said and "late" not in said and "no proof" in said


def test_with_a_group_a_code_that_is_not_in_it_is_skipped_and_named(shop, capsys):
    hand_in("Z-99", {ONE: question("2026-11-27+")})
    found = data(capsys)
    assert found["skipped"][0]["why"].startswith("Z-99 is not in the group: put the code into")
    assert "Z-99" not in by_code(found)


def test_cases_stand_under_a_heading_of_their_own(shop, capsys):
    course = Path(__file__).parents[2] / "course"
    Path("in").joinpath("A-01.json").unlink()
    file = {"file": "progress", "version": 1, "course": "charging-chain", "code": "A-01", "saved": TODAY,
            "results": {"case-plug-not-seen": question("2026-11-27-", unsafe=1)}}  # fmt: skip
    Path("one.json").write_text(json.dumps(file), "utf-8")
    assert cli.main(["progress", "one.json", "--html", "r.html", "--json", "--course", str(course)]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [one["id"] for one in found["cases"]] == ["case-plug-not-seen"] and found["questions"] == []
    assert found["slips"][0]["slip"] == "unsafe"
    assert "<h2>Cases</h2>" in Path("r.html").read_text("utf-8")


def test_the_report_stands_alone_and_says_that_it_proves_nothing(shop):
    assert run("in", "--group", "group.yml", "--html", "out/report.html", "--csv", "out/all.csv") == 0
    page = Path("out/report.html").read_text("utf-8")
    assert "It is no proof" in page and "Codes are shown, never names" in page
    assert "default-src 'none'" in page and "<script" not in page and "http" not in page.split("<body>")[1]
    rows = list(csv.DictReader(io.StringIO(Path("out/all.csv").read_bytes().decode("utf-8-sig"))))
    assert [row["code"] for row in rows] == ["A-01", "A-01", "A-02", "A-02", "A-03"]
    assert rows[0]["mistakes"] == "upside-down x1"


def test_a_spreadsheet_takes_no_slip_for_a_formula_and_the_report_no_slip_for_markup(shop):
    named = question("2026-11-27-")
    named["slips"] = {"=cmd|'/c calc'!A1": 1, "@x": 1, "<script>alert(1)</script>": 1}
    hand_in("A-04", {ONE: named})
    assert run("in", "--html", "r.html", "--csv", "r.csv") == 0
    rows = list(csv.DictReader(io.StringIO(Path("r.csv").read_bytes().decode("utf-8-sig"))))
    assert not any(cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row.values())
    page = Path("r.html").read_text("utf-8")
    assert "<script" not in page and "3 mistakes whose words this course does not have" in page


def test_a_question_is_told_by_its_words_its_module_and_its_page_before_its_id(shop, capsys):
    assert run("in", "--group", "group.yml", "--html", "r.html", "--csv", "r.csv") == 0
    said = capsys.readouterr().out
    name = "“A heater takes … from ….”"
    assert f"  {name}\n      W1 Heat from the wall, question 1 on index.md ({ONE})\n      2 of 3 had it right" in said
    assert "  You divided voltage by power. A stronger heater draws more current.\n      2 of 3 learners" in said
    place = f"in {name}: W1 Heat from the wall, question 1 on index.md ({ONE}), made by 2 there"
    assert f"; mistake upside-down\n      {place}\n" in said
    assert "late: W1 Heat from the wall" in said
    page = Path("r.html").read_text("utf-8")
    assert page.count(escape(name)) == 2 and page.count(f"<code>{ONE}</code>") == 2
    assert page.index(escape(name)) < page.index(ONE)
    rows = list(csv.DictReader(io.StringIO(Path("r.csv").read_bytes().decode("utf-8-sig"))))
    assert rows[0]["where it stands"] == "W1 Heat from the wall, question 1 on index.md"
    assert rows[0]["its first words"] in name


def test_questions_lead_to_the_site_that_is_named(shop, capsys):
    assert run("in", "--html", "r.html", "--site", "https://shop.test/training") == 0
    assert f'<a href="https://shop.test/training/index.html#q-{ONE}">' in Path("r.html").read_text("utf-8")
    Path("built & ready").mkdir()
    Path("built & ready", "index.html").write_text("<title>course</title>", "utf-8")
    assert run("in", "--html", "out/r.html", "--site", "built & ready") == 0
    assert f'<a href="../built%20%26%20ready/index.html#q-{ONE}">' in Path("out/r.html").read_text("utf-8")


def test_questions_lead_to_the_courses_own_site_where_it_is_built(shop):
    Path("course/mkdocs.yml").write_text("docs_dir: pages\nsite_dir: ../built\n", "utf-8")
    Path("built").mkdir()
    assert run("in", "--html", "r.html") == 0
    assert "href" not in Path("r.html").read_text("utf-8")
    Path("built", "index.html").write_text("<title>course</title>", "utf-8")
    assert run("in", "--html", "r.html") == 0
    assert f'href="built/index.html#q-{ONE}"' in Path("r.html").read_text("utf-8")


@pytest.mark.parametrize("site", ["nowhere", "javascript:alert(1)", "http:///x", "https://"])
def test_a_site_that_is_none_is_refused_before_anything_is_written(shop, capsys, site):
    assert run("in", "--html", "r.html", "--site", site) == 1
    assert "name the folder with its index.html, or an address that begins with https://" in capsys.readouterr().err
    assert not Path("r.html").exists()


def test_a_question_on_no_page_is_told_by_its_module(shop, capsys):
    page = Path("course/pages/index.md")
    page.write_text(page.read_text("utf-8").replace(f"{ONE}\n", ""), "utf-8")
    assert run("in") == 0
    assert f"W1 Heat from the wall, on no page of the course ({ONE})" in capsys.readouterr().out
    shutil.rmtree("course/pages")
    assert run("in") == 0
    assert f"      W1 Heat from the wall ({ONE})\n" in capsys.readouterr().out


def test_with_no_slip_at_all_the_code_is_1_and_each_reason_is_named(shop, capsys):
    Path("bad.json").write_text("{", "utf-8")
    assert run("bad.json", "nowhere.json") == 1
    said = capsys.readouterr().err
    assert "bad.json" in said and "nowhere.json" in said and "nothing to report" in said


def test_an_unknown_plan_and_a_report_inside_the_course_are_refused(shop, capsys):
    assert run("in", "--plan", "gate") == 1
    assert "no such plan" in capsys.readouterr().err
    assert run("in", "--html", "course/pages/report.html") == 1
    assert "published with the course" in capsys.readouterr().err
    assert not Path("course/pages/report.html").exists()


def test_who_has_done_all_modules_of_a_plan_is_ready_for_its_paper(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(progress, "today", lambda: date.fromisoformat(TODAY))
    from quizgen.bank.load import load_bank

    course = Path(__file__).parents[2] / "course"
    bank = load_bank(course)
    modules = {section.module for section in bank.plans["safety-gate"].sections}
    ids = {q.id: q.module for q in bank.questions.values() if q.papers != "only" and q.module in modules}
    first = {module: id for id, module in ids.items()}.values()
    good = {id: question("2026-11-21+" if id in first else "2026-11-20+") for id in ids}
    left = {id: one for id, one in good.items() if ids[id] != sorted(modules)[0]}
    for code, results in (("A-01", good), ("A-02", left)):
        file = {"file": "progress", "version": 1, "course": "charging-chain", "code": code, "saved": TODAY,
                "results": results}  # fmt: skip
        Path(f"{code}.json").write_text(json.dumps(file), "utf-8")
    words = ["progress", "A-01.json", "A-02.json", "--plan", "safety-gate", "--json", "--course", str(course)]
    assert cli.main(words) == 0
    found = json.loads(capsys.readouterr().out)
    assert [one["code"] for one in found["learners"] if one["ready"]] == ["A-01"]


def test_whoever_asks_for_a_plan_that_nobody_is_ready_for_is_told_so(shop, capsys):
    course = str(Path(__file__).parents[2] / "course")
    file = {"file": "progress", "version": 1, "course": "charging-chain", "code": "A-01", "saved": TODAY, "results": {}}
    Path("one.json").write_text(json.dumps(file), "utf-8")
    assert cli.main(["progress", "one.json", "--plan", "safety-gate", "--course", course]) == 0
    said = capsys.readouterr().out
    assert said.split("Ready for a paper (the modules of safety-gate")[1].splitlines()[1] == "  nobody yet"


def test_answers_to_questions_of_another_edition_are_told_and_show_that_nobody_stopped(shop, capsys):
    hand_in("A-04", {"of-next-week": question("2026-11-28-", sideways=1)})
    found = by_code(data(capsys))["A-04"]
    assert (found["last"], found["stopped"], found["questions"]) == (TODAY, False, 0)
    assert run("in", "--group", "group.yml") == 0
    said = capsys.readouterr().out
    assert "1 result of questions that nobody can practise in this course: of-next-week (1 learner). Did you" in said


def edited(old, new):
    path = Path("course/bank/course.yml")
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


def renamed(was=""):
    page = Path("course/pages/index.md")
    page.write_text(page.read_text("utf-8").replace(f"{ONE}\n", "current-of-a-heater\n"), "utf-8")
    edited(f"  {ONE}:\n", f"  current-of-a-heater:\n{was}")


def test_answers_of_a_renamed_question_count_under_its_new_name(shop, capsys):
    renamed(was=f"    was: {ONE}\n")
    assert run("in", "--group", "group.yml", "--html", "r.html", "--csv", "r.csv") == 0
    said = capsys.readouterr().out
    assert "question 1 on index.md (current-of-a-heater)\n      2 of 3 had it right" in said
    assert "nobody can practise" not in said and ONE not in said


def test_answers_of_a_question_that_is_gone_are_named_with_what_to_do(shop, capsys):
    """Renamed without its old id, taken out or kept for papers: to the report it is the same."""
    renamed()
    assert run("in", "--group", "group.yml", "--html", "r.html", "--csv", "r.csv") == 0
    said = capsys.readouterr().out
    assert f"3 results of questions that nobody can practise in this course: {ONE} (3 learners). Did you rename" in said
    assert "Put its old id under was:" in said
    assert f"{ONE} (3 learners)" in Path("r.html").read_text("utf-8")
    learners = by_code(data(capsys))
    assert (learners["A-03"]["questions"], learners["A-03"]["last"]) == (0, "2026-11-10")


def test_a_question_that_became_one_for_papers_only_counts_no_more(shop, capsys):
    edited(f"  {CHOICE}:\n", f"  {CHOICE}:\n    papers: only\n")
    assert run("in", "--group", "group.yml") == 0
    assert (
        f"1 result of questions that nobody can practise in this course: {CHOICE} (1 learner)"
        in capsys.readouterr().out
    )


def test_progress_is_shown_on_a_terminal_only(shop, capsys, monkeypatch):
    for n in range(60):
        hand_in(f"B-{n}", {ONE: question("2026-11-27+")})
    assert run("in") == 0
    assert capsys.readouterr().err == ""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    assert run("in") == 0
    assert "of 63 read" in capsys.readouterr().err


def test_every_general_slip_has_a_number_in_texts_and_words_for_a_group():
    assert {one.id for one in GENERAL} <= set(GENERALS)
    assert set(GENERAL_WORDS) == set(GENERALS)
