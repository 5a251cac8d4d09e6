"""`quizgen find`: an author finds the names that questions are written with."""

import json
import shutil

from quizgen.cli import main


def test_names_are_found_by_words_of_their_titles_in_any_order(quizgen):
    code, out, err = quizgen("find", "load", "POWER")
    assert (code, err) == (0, "")
    assert out.splitlines() == ["Formulas and tables (by:)", "  three-phase-power  Power of a balanced load"]


def test_every_kind_of_name_is_found_under_the_field_it_is_written_in(quizgen):
    out = quizgen("find", "a")[1]
    for head in ("by:", "given:, find:", "module:, outcome:", "Questions", "source:"):
        assert head in out
    assert "  U_LL " in out and "supply / " in out and "  van-current " in out


def test_names_are_data_for_a_program(quizgen):
    data = json.loads(quizgen("find", "van-current", "--json")[1])
    assert data["questions"].keys() == {"van-current"} and data["laws"] == {}


def test_nothing_found_says_what_to_do(quizgen):
    assert quizgen("find", "zebra", "crossing") == (
        1, "", "nothing here has all these words: zebra crossing: try fewer words, or parts of them\n"
    )  # fmt: skip


def test_a_question_is_found_with_the_page_it_stands_on(depot, tmp_path, capsys):
    course = tmp_path / "depot"
    shutil.copytree(depot, course, ignore=shutil.ignore_patterns(".cache"))
    (course / "pages").mkdir()
    (course / "pages" / "supply.md").write_text("# Supply\n\n```practice\nvan-current\n```\n", encoding="utf-8")
    assert main(["find", "papers:", "--course", str(course)]) == 0
    out = capsys.readouterr().out
    assert ", question 1 on supply.md\n" in out and ", on no page\n" in out
