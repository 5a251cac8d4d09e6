"""`quizgen check`: what is there, what was thrown away, what rests on one form alone."""

import json
import re
import shutil

from quizgen.cli import main


def test_a_whole_course_is_counted_in_words(quizgen):
    code, out, err = quizgen("check")
    assert (code, err) == (0, "")
    assert out.splitlines()[:6] == [
        "Vans in a depot: everything checked, no faults.",
        "  2 modules with 5 outcomes",
        "  4 formulas and 3 tables, 3 published check values hold",
        "  6 questions (3 numeric, 1 look-up, 1 choice, 1 order) with 5 steps to work",
        "  5 slips with their own words, 1 wrong options with reasons",
        "  76 variants shipped, each solved by two routes",
    ]
    assert "Draws that were thrown away, by reason:" in out
    assert "  cable-drop: no published value beside it yet" in out
    assert "  pilot-duty: 2 published values" in out


def test_a_whole_course_is_counted_as_data(quizgen):
    code, out, _ = quizgen("check", "--json")
    report = json.loads(out)
    assert code == 0
    wanted = {
        "tables": 3, "questions": 6, "steps": 5, "slips": 5, "outcomes": 5, "modules": 2, "variants": 76,
    }  # fmt: skip
    assert {key: report[key] for key in wanted} == wanted
    assert report["kinds"] == {"numeric": 3, "look-up": 1, "choice": 1, "order": 1}
    assert report["faults"] == []
    assert report["on_one_form"] == ["cable-drop", "pilot-duty"]
    assert report["formulas"][0] == {
        "id": "three-phase-power", "title": "Power of a balanced load", "finds": ["P", "I_L", "U_LL"],
        "needs": {"P": ["U_LL", "I_L", "pf"], "I_L": ["P", "U_LL", "pf"], "U_LL": ["P", "I_L", "pf"]},
    }  # fmt: skip
    assert report["rejected"]["theta_2 leaves its range"] > 0
    assert all(isinstance(count, int) and count > 0 for count in report["rejected"].values())


def test_faults_are_data_too(depot, tmp_path, capsys):
    shutil.copytree(depot, tmp_path / "broken")
    path = tmp_path / "broken" / "bank" / "course.yml"
    path.write_text(path.read_text(encoding="utf-8").replace("EUR", "euros"), encoding="utf-8")
    assert main(["check", "--json", "--course", str(tmp_path / "broken")]) == 1
    told = capsys.readouterr()
    said = "broken/bank/course.yml:4:13: course: the currency is three capital letters, like EUR, or one sign"
    assert json.loads(told.out)["faults"] == [said]
    assert told.err == ""


def test_a_check_value_that_does_not_hold_is_a_fault_at_its_line(depot, tmp_path, capsys):
    shutil.copytree(depot, tmp_path / "broken")
    path = tmp_path / "broken" / "bank" / "formulas" / "all.yml"
    text = path.read_text(encoding="utf-8")
    text = text.replace("I_L = 27.1 A when", "I_L = 27.4 A when").replace(
        "no charging when d = 5 %", "charging when d = 5 %"
    )
    path.write_text(text.replace("I_p = 65 A when d = 90 %", "I_p = 65 A when D = 90 %"), encoding="utf-8")
    assert main(["check", "--course", str(tmp_path / "broken")]) == 1
    assert capsys.readouterr().err.splitlines() == [
        "broken/bank/formulas/all.yml:23:9: three-phase-power: check: expected 27.4 A, got 27.101\u00a0A",
        "broken/bank/formulas/all.yml:52:9: pilot-duty: check: "
        'pilot-duty has no quantity "D", only I_p, d. Did you mean d?',
        "broken/bank/formulas/all.yml:53:9: pilot-duty: check: expected charging, got no charging",
        "3 faults in 1 of 9 files.",
    ]


def test_the_course_at_or_above_the_folder_is_found(shell, depot):
    for folder in (depot, depot / "bank" / "questions"):
        code, out, _ = shell("check", cwd=folder)
        assert code == 0
        assert out.decode().startswith("Vans in a depot: everything checked")


def test_no_course_at_all_says_what_to_do(shell, tmp_path, capsys):
    code, out, err = shell("check", cwd=tmp_path)
    assert (code, out) == (1, b"")
    assert err.decode() == "no course at or above this folder: go into one, or name it with --course FOLDER\n"
    assert main(["check", "--course", str(tmp_path)]) == 1
    assert "no folder bank/ in there" in capsys.readouterr().err
    assert main(["check", "--course", "x" * 5000]) == 1
    assert len(capsys.readouterr().err.splitlines()) == 1


def on_pages(depot, folder, **pages):
    """A copy of the course with these pages beside its bank."""
    course = folder / "depot"
    shutil.copytree(depot, course, ignore=shutil.ignore_patterns(".cache"))
    (course / "pages").mkdir()
    for name, text in pages.items():
        (course / "pages" / f"{name}.md").write_text(text, encoding="utf-8")
    return course


SUPPLY = "---\nmodule: supply\n---\n\n# Supply\n\n```practice\nvan-current\n```\n"


def test_a_question_that_stands_on_no_page_is_a_remark_with_its_place_and_what_to_do(depot, tmp_path, capsys):
    course = on_pages(depot, tmp_path, supply=SUPPLY)
    assert main(["check", "--course", str(course)]) == 0
    remarks = [line for line in capsys.readouterr().out.splitlines() if line.startswith("Remark")]
    said = ("stands on no page of the course, so nobody can practise it: put its id into a practice block of "
            "supply.md, the page of B1 Supply and cable, or write papers: only if it is for papers alone")  # fmt: skip
    mine = [line for line in remarks if said in line]
    begins = re.compile(r"Remark, no fault: depot/bank/questions/all\.yml:\d+:\d+: [a-z-]+: this question ")
    assert mine and all(begins.match(line) for line in mine)
    assert not any(": van-current:" in line for line in remarks)


def test_a_question_for_papers_only_is_right_to_stand_on_no_page(depot, tmp_path, capsys):
    course = on_pages(depot, tmp_path, supply=SUPPLY)
    assert main(["check", "--json", "--course", str(course)]) == 0
    before = {one["id"] for one in json.loads(capsys.readouterr().out)["on_no_page"]}
    gone = sorted(before)[0]
    for path in (course / "bank").rglob("*.yml"):
        text = path.read_text(encoding="utf-8")
        if f"\n  {gone}:\n" in text and "module:" in text:
            head, tail = text.split(f"\n  {gone}:\n")
            own, end, rest = tail.partition("\n\n")
            own = "\n".join(line for line in own.splitlines() if not line.startswith("    papers:"))
            path.write_text(f"{head}\n  {gone}:\n    papers: only\n{own}{end}{rest}", encoding="utf-8")
    assert main(["check", "--json", "--course", str(course)]) == 0
    assert {one["id"] for one in json.loads(capsys.readouterr().out)["on_no_page"]} == before - {gone}


def test_a_block_that_a_page_only_shows_makes_no_question_stand_there(depot, tmp_path, capsys):
    shown = SUPPLY.replace("```practice\nvan-current\n```", "````text\n```practice\nvan-current\n```\n````")
    course = on_pages(depot, tmp_path, supply=shown)
    assert main(["check", "--json", "--course", str(course)]) == 0
    assert "van-current" in {one["id"] for one in json.loads(capsys.readouterr().out)["on_no_page"]}


def test_where_no_pages_are_known_nothing_is_said_of_them(quizgen):
    assert "Remark" not in quizgen("check")[1]
    assert json.loads(quizgen("check", "--json")[1])["on_no_page"] == []
