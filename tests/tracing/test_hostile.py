"""Whatever stands in the files of a tracing, the author is told file, line, what was expected and what to do."""

import math
import random
import shutil
from pathlib import Path

import pytest

from quizgen.bank.faults import BankError
from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.cli import main
from quizgen.tracing import compile_tracing, read_tracing, readings
from quizgen.tracing.classes import shown
from quizgen.tracing.parameters import LEAST, MOST, PARAMETERS, read_value
from quizgen.tracing.readings import READINGS

VAN = Path(__file__).resolve().parents[1] / "courses" / "van"


@pytest.fixture
def told(tmp_path):
    """What is told of the small van once pieces of its file are exchanged; each piece stands there once."""

    def run(*changes):
        folder = tmp_path / "van"
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(VAN, folder, ignore=shutil.ignore_patterns(".cache"))
        path = folder / "bank" / "course.yml"
        text = path.read_text(encoding="utf-8")
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        path.write_text(text, encoding="utf-8")
        try:
            tracing, faults = read_tracing(load_bank(folder))
        except BankError as error:
            return [str(fault) for fault in error.faults]
        faults = faults or compile_tracing(tracing, Cache(None))[1]
        return [str(fault) for fault in faults]

    return run


RELAY = "  relay-burnt:\n    name: relay contact on L3 burnt\n    part: relay-board\n    weight: 4\n"

HOSTILE = {
    "unknown part": (
        (RELAY, RELAY.replace("relay-board", "relay-bord")),
        '"relay-bord" is no part here',
        "Did you mean",
    ),
    "unknown quantity": (
        ("R_con_L3: 60 mΩ", "R_kon_L3: 60 mΩ"),
        '"R_kon_L3" is no field here',
        "Did you mean R_con_L3?",
    ),
    "unknown fault": (
        ("fault: relay-burnt", "fault: relay-burn"),
        '"relay-burn" is no fault of the chain',
        "Did you mean",
    ),
    "unknown test": (("      - told\n", "      - tolt\n"), '"tolt" is no test here', "Did you mean told?"),
    "unknown reading": (("      - flow\n", "      - flaw\n"), '"flaw" is no reading here', "Did you mean flow?"),
    "unknown box": (
        ("box: charger", "box: charge"),
        '"charge" is no box of the workshop here',
        "Did you mean charger?",
    ),
    "unknown mode of a test": (("needs: dead", "needs: death"), '"death" is no needs', "use live / dead / any / told"),
    "unknown field": (
        ("    no charging: yes\n", "    no charge: yes\n"),
        '"no charge" is no field here',
        "Did you mean no charging?",
    ),
    "unknown level": (("difficulty: easy", "difficulty: esay"), '"esay" is no difficulty', "use easy / medium / hard"),
    "unknown section": (("\ncases:\n", "\ncasses:\n"), '"casses" is no section of a bank', "Did you mean cases?"),
    "doubled fault": (("  relay-welded:\n", "  relay-burnt:\n"), '"relay-burnt" stands', "already"),
    "doubled test": (("  coolant:\n", "  log:\n"), '"log" stands', "already"),
    "doubled part": (("  motor:\n    name: motor", "  none:\n    name: motor"), '"none" stands', "already"),
    "doubled reading": (("      - on_L3\n", "      - off_L1\n"), '"off_L1" stands twice here', "take one out"),
    "doubled number": (
        ("    L_d: 1 mH\n", "    L_d: 1 mH\n    L_d: 2 mH\n"),
        '"L_d" stands in line',
        "keep one of the two",
    ),
    "doubled change": (
        ("      R_U: open\n", "      R_U: open\n      R_U: short\n"),
        '"R_U" stands in line',
        "keep one of the two",
    ),
    "two faults alike": (
        ("R_U: open", "R_con_L3: 60 mΩ"),
        'changes the same as "relay-burnt"',
        "name what sets it apart",
    ),
    "a second healthy van": (("    change:\n      R_U: open\n", ""), 'changes nothing, as "no-fault"', "add change:"),
    "a change to the healthy value": (
        ("R_U: open", "R_U: 20 mΩ"),
        "R_U: 20 mΩ is the healthy value",
        "give another one",
    ),
    "an empty change": (("    change:\n      R_U: open\n", "    change:\n"), "change:", "named entries"),
    "weight negative": ((RELAY, RELAY.replace("4", "-4")), 'weight: "-4"', "from 1 to 10000 was expected"),
    "weight 0": ((RELAY, RELAY.replace("4", "0")), 'weight: "0"', "from 1 to 10000 was expected"),
    "weight no number": ((RELAY, RELAY.replace("4", "nan")), 'weight: "nan"', "a whole number"),
    "weight infinite": ((RELAY, RELAY.replace("4", ".inf")), 'weight: ".inf"', "a whole number"),
    "weight huge": ((RELAY, RELAY.replace("4", "9" * 400)), "weight:", "from 1 to 10000 was expected"),
    "weight in other digits": ((RELAY, RELAY.replace("4", "٤")), 'weight: "٤"', "a whole number"),
    "weight missing": ((RELAY, RELAY.replace("    weight: 4\n", "")), "weight: is missing", "add a line weight:"),
    "minutes 0": (("minutes: 12\n    needs: live", "minutes: 0\n    needs: live"), 'minutes: "0"', "from 1 to 10000"),
    "minutes negative": (
        ("minutes: 12\n    needs: dead", "minutes: -5\n    needs: dead"),
        'minutes: "-5"',
        "from 1 to",
    ),
    "minutes with a unit": (("minutes: 30", "minutes: 30 min"), 'minutes: "30 min"', "a whole number"),
    "isolating for nothing": (("minutes: 30", "minutes: 0"), 'minutes: "0"', "from 1 to 10000"),
    "no isolating": (("  isolate:\n    minutes: 30\n", ""), "workshop: isolate is missing", "add it with its minutes"),
    "wrong dimension": (("R_con_L3: 60 mΩ", "R_con_L3: 60 mV"), "R_con_L3 is measured in Ω", "V"),
    "no unit": (("R_con_L3: 60 mΩ", "R_con_L3: 60"), "R_con_L3 is measured in Ω", "pure number"),
    "negative number": (("R_con_L3: 60 mΩ", "R_con_L3: -60 mΩ"), "R_con_L3 cannot be negative", ""),
    "number out of the world": (("R_con_L3: 60 mΩ", "R_con_L3: 1e29 Ω"), "check its unit and its zeros", ""),
    "NaN": (("R_con_L3: 60 mΩ", "R_con_L3: nan Ω"), '"nan Ω" is no amount', "write a number, a space and a unit"),
    "a word for a number": (("R_con_L3: 60 mΩ", "R_con_L3: good"), 'R_con_L3 is a number in Ω, not "good"', ""),
    "a number for a word": (("lower_V: good", "lower_V: 3 Ω"), "lower_V is good / short", "use one of these words"),
    "a word of another": (("lower_V: good", "lower_V: welded"), "lower_V is good / short", "use one of these words"),
    "a number too few": (("    L_d: 1 mH\n", ""), "healthy: nothing can be computed without L_d", "add them"),
    "a number that must not be 0": (("    L_d: 1 mH\n", "    L_d: 0 mH\n"), "L_d cannot be 0", ""),
    "two lines": (("n_ph: 3", "n_ph: 2"), "n_ph is 1 or 3", ""),
    "a list for a text": (
        ("    part: motor\n", "    part:\n      - motor\n"),
        "part: is a text, not a list",
        "write it after",
    ),
    "a group for a text": (("    part: motor\n", "    part:\n      is: motor\n"), "part: is a text, not a group", ""),
    "a text for a group": (
        ("    change:\n      R_U: open\n", "    change: R_U\n"),
        "change: holds named entries",
        "one a line",
    ),
    "a text for an entry": (
        ("  motor:\n    name: motor\n", "  motor: motor\n"),
        "an entry holds fields",
        "below its name",
    ),
    "an empty text": (("    title: Half power\n", "    title:\n"), "title: is empty", "write a text"),
    "a box for a live test": (
        ("needs: live", "needs: live\n    box: charger"),
        "a box is opened for a dead test only",
        "needs: dead",
    ),
    "a charge attempt on a dead van": (
        ("needs: dead", "needs: dead\n    charges: yes"),
        "a charge attempt is live",
        "needs: live",
    ),
    "a charge attempt that does not say so": (
        ("    charges: yes\n", ""),
        "three_event comes from a charge attempt",
        "write charges: yes",
    ),
    "a drive on a dead van": (("needs: dead", "needs: dead\n    drives: yes"), "a drive is live", "needs: live"),
    "a drive that does not say so": (
        ("      - last_stop\n", "      - drive\n"),
        "drive comes from a drive",
        "write drives: yes and needs: live",
    ),
    "a drive that is a charge attempt": (
        ("    charges: yes\n", "    drives: yes\n"),
        "three_event comes from a charge attempt",
        "write charges: yes",
    ),
    "a word for a drive that is none": (
        ("    charges: yes\n", "    charges: yes\n    drive: yes\n"),
        '"drive" is no field here',
        "Did you mean drives?",
    ),
    "neither forbidden nor not": (
        ("    no charging: yes\n", "    no charging: yes\n    no driving: perhaps\n"),
        '"perhaps" is no',
        "use yes / no",
    ),
    "a dead test known at the start": (("      - told\n", "      - relays\n"), "a dead test cannot be known", ""),
    "a test called isolate": (("  coolant:\n", "  isolate:\n"), "isolate", "use another id"),
    "an id that is no file name": (("  coolant:\n", "  ../coolant:\n"), "is no id", "use small letters"),
    "an alias": (("    change:\n      R_U: open\n", "    change: &again\n      R_U: open\n"), "&", ""),
    "itself inside itself": (("    change:\n      R_U: open\n", "    change: &a\n      R_U: *a\n"), "&", ""),
    "very deep": (
        ("      R_U: open\n", "".join(f"{' ' * (6 + 2 * i)}a{i}:\n" for i in range(400))),
        "lie within each other",
        "write it flatter",
    ),
    "very deep brackets": (("R_U: open", "R_U: " + "[" * 5000), "square brackets", "write each entry on its own line"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_wrong_is_told_with_its_line_and_what_to_do(told, name):
    change, *said = HOSTILE[name]
    found = told(change)
    assert found, "nothing was told"
    for piece in said:
        assert any(piece in line for line in found), found
    for line in found:
        path, row, column, _ = line.split(":", 3)
        assert path == "van/bank/course.yml" and row.isdigit() and column.isdigit()
        assert len(line) < 1000 and "\n" not in line


def test_the_small_van_itself_has_no_faults(told):
    assert told() == []


def test_a_fault_stands_where_the_wrong_thing_stands(told):
    lines = (VAN / "bank" / "course.yml").read_text(encoding="utf-8").splitlines()
    row = lines.index("      R_con_L3: 60 mΩ") + 1
    (said,) = told(("R_con_L3: 60 mΩ", "R_con_L3: 60 mV"))
    assert said.startswith(f"van/bank/course.yml:{row}:")


def test_all_faults_are_told_at_once(told):
    found = told(
        (RELAY, RELAY.replace("4", "-4")),
        ("box: charger", "box: cellar"),
        ("R_U: open", "R_U: 20 V"),
        ("fault: relay-burnt", "fault: nobody"),
        ("minutes: 30", "minutes: soon"),
        ("      - flow\n", "      - flood\n"),
    )
    assert len(found) == 6


def test_a_case_with_too_many_suspects_is_told_to_say_more(told):
    many = "".join(
        f"  lost-{n}:\n    name: contact {n}\n    part: motor\n    weight: 1\n    change:\n      R_W: {n} mΩ\n"
        for n in range(30, 50)
    )
    (said,) = told(("\ntests:\n", f"\n{many}\ntests:\n"), ("fault: relay-burnt", "fault: no-fault"))
    assert "known: leaves 21 suspects, at most 16 are allowed: add what else is known" in said


def test_a_case_that_no_test_can_end_is_told_to_add_one(told):
    (said,) = told(
        ("      - flow\n", "      - bond\n"),
        ("      - last_stop\n", "      - bond\n"),
        ("      - three_I_L1\n", ""),
        ("      - three_event\n", "      - three_I_L1\n"),
        ("      - on_L3\n", ""),
    )
    assert "cannot be solved: tests leave suspects of different parts: add a test or what is known" in said


def test_a_tracing_without_tests_or_faults_is_told_so(told):
    text = (VAN / "bank" / "course.yml").read_text(encoding="utf-8")
    tests, cases = text.index("tests:\n"), text.index("cases:\n")
    found = told((text[tests:cases], ""))
    assert any("tests: are missing" in line for line in found)
    start = text.index("faults:\n")
    found = told((text[start:tests], ""))
    assert any("faults: are missing" in line for line in found)


def test_check_prints_the_faults_and_ends_with_1(told, tmp_path, capsys):
    told(("R_con_L3: 60 mΩ", "R_con_L3: -60 mΩ"))
    assert main(["check", "--course", str(tmp_path / "van")]) == 1
    out = "".join(capsys.readouterr())
    assert "R_con_L3 cannot be negative" in out and "Traceback" not in out
    assert main(["trace", "half-power", "--course", str(tmp_path / "van")]) == 1
    assert "R_con_L3 cannot be negative" in "".join(capsys.readouterr())


def limits(name):
    """The outermost values that the reader lets pass."""
    p = PARAMETERS[name]
    if p.words:
        return p.words
    made = [1.0, 3.0] if name == "n_ph" else [LEAST, 1e-3, 1.0, 1e3, MOST]
    made += [0.0] * p.zero + [math.inf] * p.opens + [-value for value in made] * p.negative
    return made


@pytest.mark.parametrize("name", PARAMETERS)
def test_every_reading_is_computed_whatever_value_the_reader_lets_pass(tracing, name):
    for value in limits(name):
        chain = {**tracing.healthy, name: value}
        for reading in READINGS.values():
            assert isinstance(shown(reading, reading.of(chain)), str)


@pytest.mark.parametrize("seed", range(60))
def test_so_it_is_when_several_values_stand_at_their_limits(tracing, seed):
    draw = random.Random(seed)
    changed = draw.sample(sorted(PARAMETERS), draw.randint(2, 12))
    chain = {**tracing.healthy, **{name: draw.choice(limits(name)) for name in changed}}
    for reading in READINGS.values():
        assert isinstance(shown(reading, reading.of(chain)), str), changed


def test_the_shipped_chain_has_every_number_and_word(tracing):
    assert tracing.healthy.keys() == PARAMETERS.keys()
    assert len(readings(tracing).faults) == len(tracing.faults)


def test_open_and_short_are_numbers_of_ohms(bank):
    assert read_value("open", "R_U", bank.units) == math.inf and read_value("short", "R_U", bank.units) == 0
    assert read_value("8 L/min", "V_dot", bank.units) == pytest.approx(8 / 60000)
