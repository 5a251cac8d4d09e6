"""The compiled bank: the same from the same texts, changed only where the texts were changed, and kept on disk."""

# ruff: noqa: E501

import json
import os
import sys

import pytest

from quizgen.bank.load import load_bank
from quizgen.cache import Cache, content_key
from quizgen.variants.compile import compile_bank, question_key


def as_bytes(bank):
    """Compiled questions by id, as they are kept."""
    made, faults = compile_bank(bank, Cache(None))
    assert faults == []
    return {question["id"]: json.dumps(question, ensure_ascii=False).encode() for question in made}


def keys(bank):
    return {id: question_key(bank, question) for id, question in bank.questions.items()}


def test_two_runs_give_the_same_bytes(bank):
    assert as_bytes(bank("depot")) == as_bytes(bank("depot"))


def test_the_order_of_files_plays_no_part(bank, tmp_path):
    """The same entries in files of other names, split one by one and read in reverse."""
    whole = bank("depot")
    folder = next(tmp_path.glob("*/depot/bank"))
    for path in sorted(folder.rglob("*.yml")):
        section, *lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
        if section == "course:\n":
            continue
        starts = [n for n, line in enumerate(lines) if line.startswith("  ") and line[2] != " "] + [len(lines)]
        for count, (start, end) in enumerate(zip(starts, starts[1:], strict=False)):
            path.with_name(f"{99 - count:02d}-{path.stem}.yml").write_text(
                section + "".join(lines[start:end]), encoding="utf-8"
            )
        path.unlink()
    shuffled = load_bank(folder.parent)
    assert list(shuffled.questions) != list(whole.questions)
    assert as_bytes(shuffled) == as_bytes(whole)
    assert keys(shuffled) == keys(whole)


def test_moving_lines_changes_no_key(bank):
    moved = bank(
        "depot",
        ("questions:\n", "questions:\n\n  # a remark\n\n"),
        ("quantities:\n", "# first\n\nquantities:\n"),
        ("formulas:\n", "formulas:\n\n\n"),
    )
    assert keys(moved) == keys(bank("depot"))


def test_breaking_a_text_over_other_lines_changes_no_key(bank):
    broken = bank("depot", ("A cable of (A_c) is (l_c) long and", "A cable of (A_c)\n      is (l_c) long\n      and"))
    assert keys(broken) == keys(bank("depot"))


CHANGES = {
    "the text of one question": (("A van draws", "A lorry draws"), {"van-current"}),
    "the numbers of one question": (("to 22 kW by", "to 21 kW by"), {"van-current"}),
    "what is said about a slip": (("You used the factor 3.", "You took three."), {"van-current"}),
    "a formula": (("(235 K + theta_2) / (235 K + theta_1)", "(234.5 K + theta_2) / (234.5 K + theta_1)"), None),
    "a row of a table": (("      16    1.21", "      16    1.22"), {"drop-of-a-cable"}),
    "the range of a quantity": (("-40 °C and 200 °C", "-40 °C and 199 °C"), {"hot-copper"}),
    "a name that two questions show": (("name: line current", "name: current of the line"), {"van-current", "drop-of-a-cable"}),
    "a choice": (("option: A car that is ready", "option: A ready car"), {"which-part"}),
    "an order": (("- Lock the plug away", "- Lock away the plug"), {"isolate"}),
    "a module's title": (("title: Supply and cable", "title: Supply"), set()),
    "a source": (("A handbook of charging", "The handbook of charging"), set()),
    "a formula that no question uses": (
        ("  cable-drop:\n", "  unused:\n    title: x\n    states: dU = 2 * l_c * I_L * R_per\n    source: common practice\n  cable-drop:\n"), set(),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_changes_only_what_is_made_from_it(bank, name):
    change, touched = CHANGES[name]
    if touched is None:
        pytest.raises(AssertionError, as_bytes, bank("depot", change))  # stated and solved form now disagree
        change, touched = (
            ('source: "from memory: the constant 235"', "source: common practice"),
            {"hot-copper"},
        )
    before, after = bank("depot"), bank("depot", change)
    changed = {id for id, key in keys(after).items() if key != keys(before)[id]}
    assert changed == touched
    old, new = as_bytes(before), as_bytes(after)
    assert {id for id in new if new[id] != old[id]} <= touched


def test_another_course_id_draws_other_numbers(bank):
    old, new = as_bytes(bank("depot")), as_bytes(bank("depot", ("id: depot-basics", "id: depot-other")))
    drawn = {"van-current", "drop-of-a-cable", "hot-copper"}
    assert {id for id in new if new[id] != old[id]} >= drawn
    shared = {v["name"] for v in json.loads(old["hot-copper"])["variants"]} & {
        v["name"] for v in json.loads(new["hot-copper"])["variants"]
    }
    assert len(shared) < 12


# The cache


@pytest.fixture
def kept(bank, tmp_path):
    """A bank, a folder with its compiled questions, and what was compiled."""
    whole = bank("depot")
    store = Cache(tmp_path / "cache")
    made, _ = compile_bank(whole, store)
    assert store.made == 6
    return whole, tmp_path / "cache", made


def files_in(folder):
    return sorted(folder.rglob("*.json"))


def test_a_second_run_makes_nothing_and_gives_the_same(kept):
    whole, folder, made = kept
    store = Cache(folder)
    assert compile_bank(whole, store) == (made, [])
    assert store.made == 0
    assert len(files_in(folder)) == 6
    assert (folder / ".gitignore").read_text(encoding="utf-8").splitlines()[-1] == "*"


DAMAGE = {
    "cut": lambda data: data[: len(data) // 2],
    "empty": lambda data: b"",
    "garbage": lambda data: os.urandom(0) + bytes(range(256)) * 10,
    "one digit turned": lambda data: data.replace(b'"v":1', b'"v":2', 1),
    "another value with the same key": lambda data: data.split(b"\n")[0] + b"\n{}",
    "nesting without end": lambda data: data.split(b"\n")[0] + b"\n" + b"[" * 100_000,
    "nothing but JSON": lambda data: b'{"key": "x", "value": {}}',
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_a_damaged_file_is_made_again(kept, damage):
    whole, folder, made = kept
    path = files_in(folder)[2]
    before = path.read_bytes()
    path.write_bytes(DAMAGE[damage](before))
    assert path.read_bytes() != before
    store = Cache(folder)
    assert compile_bank(whole, store) == (made, [])
    assert store.made == 1
    assert path.read_bytes() == before


def test_a_file_under_a_foreign_name_is_not_taken(kept):
    whole, folder, made = kept
    one, other = files_in(folder)[:2]
    one.write_bytes(other.read_bytes())
    store = Cache(folder)
    assert compile_bank(whole, store) == (made, [])
    assert store.made == 1


def test_a_question_with_a_fault_is_not_kept(bank, tmp_path):
    whole = bank("depot", ("keep: I_L < 40 A", "keep: I_L > 190 A"))
    for _ in range(2):
        store = Cache(tmp_path / "cache")
        _, faults = compile_bank(whole, store)
        assert len(faults) == 1
    assert len(files_in(tmp_path / "cache")) == 5


@pytest.mark.skipif(sys.platform == "win32", reason="rights are other ones there")
def test_a_cache_that_cannot_be_written_does_no_harm(bank, tmp_path):
    (tmp_path / "cache").write_text("a file where a folder should be", encoding="utf-8")
    made, faults = compile_bank(bank("tank"), Cache(tmp_path / "cache"))
    assert (len(made), faults) == (2, [])


def test_without_a_folder_nothing_is_kept(bank):
    store = Cache(None)
    assert len(compile_bank(bank("tank"), store)[0]) == 2
    assert store.get("00") is None


def test_keys_tell_texts_apart():
    assert len({content_key("ab", "c"), content_key("a", "bc"), content_key("abc"), content_key("abc", "")}) == 4
