"""A trainer's group is read whole or not at all; every fault is told with its place and what to do."""

# ruff: noqa: E501

import os
import random
from dataclasses import replace
from datetime import date

import pytest

from quizgen.bank.faults import BankError
from quizgen.bank.load import load_bank
from quizgen.bank.models import Assigned, Done
from quizgen.bank.read_group import read_group
from quizgen.bank.yaml_reader import read_text
from tests.bank.conftest import HERE

CASES = "cases:\n  no-charge:\n    title: No charge\n  told:\n    title: Only told\n    outside: Ask somebody.\n"
WHOLE = """group: autumn-depot
course: depot-basics
learners:
  - A-01
  - a2
done:
  right: 4
  of last: 5
  on days: 2
assigned:
  supply:
    due: 2026-12-04
  case-no-charge:
    due: 2026-12-11
    for:
      - a2
"""


@pytest.fixture
def bank(depot):
    cases, faults = read_text(CASES, "cases.yml")
    assert not faults
    return replace(load_bank(depot.folder), tracing={"cases": cases.get("cases").pairs})


@pytest.fixture
def told(bank, depot, tmp_path):
    """Reads a group's text: the group, or its faults as lines without the folder."""

    def read(text):
        path = tmp_path / "group.yml"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        try:
            return read_group(path, bank, depot.folder)
        except BankError as error:
            return [str(fault).replace(f"{tmp_path.as_posix()}/", "") for fault in error.faults]

    return read


def test_a_group_is_codes_with_what_they_were_assigned(told):
    group = told(WHOLE)
    assert (group.id, group.course, group.codes) == ("autumn-depot", "depot-basics", ("A-01", "a2"))
    assert group.done == Done(right=4, of_last=5, on_days=2)
    assert group.assigned == (
        Assigned("supply", date(2026, 12, 4), ("A-01", "a2")),
        Assigned("case-no-charge", date(2026, 12, 11), ("a2",)),
    )


def test_what_counts_as_done_may_be_left_out_as_a_whole_or_in_parts(told):
    done = WHOLE[WHOLE.index("done:") : WHOLE.index("assigned:")]
    assert told(WHOLE.replace(done, "")).done == Done(8, 10, 2)
    assert told(WHOLE.replace(done, "done:\n  right: 5\n")).done == Done(5, 10, 2)


# name: (old text, new text with the mark where the fault is told, what is said)
BROKEN = {
    "an unknown module": ("  supply:", "  ¶suply:", '"suply" is no module of this course. Did you mean supply?'),
    "an unknown case": ("case-no-charge", "¶case-no-chargee", "is no case of this course. Did you mean case-no-charge?"),
    "a case without its word": ("case-no-charge", "¶no-charge", "Did you mean case-no-charge?"),
    "a case to read only": ("case-no-charge", "¶case-told", "a case to read only"),
    "a module assigned twice": ("  case-no-charge:", "  ¶supply:", "stands in line 11 already"),
    "a code twice": ("  - a2\ndone", "  - ¶a-01\ndone", 'the code "a-01" stands twice: capitals make no other code'),
    "a name for a code": ("  - A-01", "  - ¶Ann Archer", "is no code: letters, digits and -"),
    "a code that leads elsewhere": ("  - A-01", "  - ¶../A-01", "is no code"),
    "a code that is a device": ("  - A-01", "  - ¶CON", "is a device name on some computers"),
    "a code of fullwidth letters": ("  - A-01", "  - ¶Ａ1", "is no code"),
    "no learner": ("  - A-01\n  - a2\n", "  ¶[]\n", "is an empty list"),
    "somebody else's code": ("      - a2", "      - ¶A-1", 'for: "A-1" is no learner of this group. Did you mean A-01?'),
    "for nobody": ("for:\n      - a2", "for:\n      ¶[]", "for: is an empty list"),
    "a day that is none": ("2026-12-04", "¶2026-02-30", 'due: "2026-02-30" is no day: write it as 2026-12-04'),
    "a day turned round": ("2026-12-04", "¶4.12.2026", "is no day"),
    "a day of a week": ("2026-12-04", "¶2026-W49-5", "is no day"),
    "a day in other digits": ("2026-12-04", "¶2٠26-12-04", "is no day"),
    "no day": ("    due: 2026-12-04", "    ¶for: A-01", "due: is missing"),
    "more right than there are": ("right: 4", "right: ¶6", "right: 6 of the last 5 can never be"),
    "more days than right answers": ("on days: 2", "on days: ¶5", "never fall on 5 days"),
    "no right answer": ("right: 4", "right: ¶0", "no whole number from 1 to 50: write right: 8"),
    "half an answer": ("of last: 5", "of last: ¶5.0", "no whole number from 1 to 50"),
    "too many answers": ("of last: 5", "of last: ¶51", "no whole number from 1 to 50"),
    "a field that does not exist": ("course:", "¶corse:", "Did you mean course?"),
    "an unknown part of done": ("on days", "¶on day", "Did you mean on days?"),
    "an unknown part of an entry": ("    for:", "    ¶fore:", "Did you mean for?"),
    "a due day alone": ("  supply:\n    due: 2026-12-04", "  supply: ¶2026-12-04", "holds due: on a line of its own"),
    "an id with capitals": ("autumn-depot", "¶Autumn", "is no id"),
    "another course": ("depot-basics", "¶pumps", 'through the course "pumps", but here is depot-basics'),
    "an alias": ("2026-12-04", "¶*day", ""),
    "more than the module can show": ("right: 4\n  of last: 5", "right: 50\n  of last: 50", "too few for 50"),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_each_fault_is_told_at_its_place(told, name):
    old, new, says = BROKEN[name]
    assert WHOLE.count(old) == 1
    text = WHOLE.replace(old, new)
    before, mark, _ = text.partition(HERE)
    faults = told(text.replace(HERE, ""))
    assert isinstance(faults, list)
    found = [fault for fault in faults if says in fault]
    assert found, faults
    if mark:
        place = f"group.yml:{before.count(chr(10)) + 1}:{len(before.rpartition(chr(10))[2]) + 1}:"
        assert any(fault.startswith(place) for fault in found), found
    if name not in ("a field that does not exist", "an unknown part of an entry", "no day"):
        assert len(faults) == 1


def test_all_faults_are_told_at_once(told):
    text = WHOLE.replace("A-01", "no code").replace("supply", "suply").replace("2026-12-11", "soon")
    assert [fault.split(":")[1] for fault in told(text)] == ["4", "11", "14"]


def test_a_group_inside_the_course_is_refused_also_through_a_link(bank, depot, tmp_path):
    inside = depot.folder / "pages" / "group.yml"
    inside.parent.mkdir()
    inside.write_text(WHOLE, "utf-8")
    linked = tmp_path / "linked.yml"
    os.symlink(inside, linked)
    for path in (inside, linked):
        with pytest.raises(BankError, match="never inside the course"):
            read_group(path, bank, depot.folder)


def test_a_missing_file_and_a_folder_are_faults_too(bank, depot, tmp_path):
    for path in (tmp_path / "nothing.yml", tmp_path):
        with pytest.raises(BankError):
            read_group(path, bank, depot.folder)


def test_a_very_large_group_is_refused_in_few_lines(told):
    many = "".join(f"  - C-{at}\n" for at in range(5000))
    faults = told(WHOLE.replace("  - A-01\n", "  - A-01\n" + many))
    assert len(faults) == 1 and "more than 200 learners" in faults[0]
    entries = "".join(f"  supply-{at}:\n    due: 2026-12-04\n" for at in range(5000))
    assert len(told(WHOLE + entries)) < 250


@pytest.mark.parametrize("seed", range(40))
def test_torn_and_mixed_up_groups_end_in_faults_or_a_group(told, seed):
    chance = random.Random(seed)
    text = bytearray(WHOLE.encode())
    for _ in range(chance.randrange(1, 8)):
        at = chance.randrange(len(text))
        act = chance.randrange(3)
        if act == 0:
            text[at] = chance.randrange(256)
        elif act == 1:
            del text[at : at + chance.randrange(1, 40)]
        else:
            text[at:at] = text[: chance.randrange(1, 60)]
    found = told(bytes(text))
    assert found and (not isinstance(found, list) or all("group.yml:" in fault for fault in found))
