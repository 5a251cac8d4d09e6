"""Whatever stands in a bank, it is told in one line with its place; nothing is ever a traceback.

Every case is the whole course in `depot` with one change. The mark in the changed text is the place at
which the fault must be told, and no other fault may follow from it.
"""

# ruff: noqa: E501

import os
import random
import re

import pytest

from quizgen.bank.faults import BankError
from quizgen.bank.load import load_bank
from quizgen.cli import main

COURSE, MODULES, SOURCES = "course.yml", "modules.yml", "sources.yml"
QUANTITIES, FORMULAS = "quantities/all.yml", "formulas/all.yml"
TABLES, QUESTIONS, EXAMPLES = "tables/all.yml", "questions/all.yml", "examples.yml"

CHAIN = "chain.yml"
STAGES = "chain:\n  stages:\n    wall:\n      name: Wall\n      does: Feeds the van.\n      module: supply\n"

PICTURES = "pictures.yml"
CIRCUIT = "pictures:\n  loop:\n    title: A loop\n    says: A battery and a resistor.\n    parts:\n      - {}\n"
WAVE = (
    "pictures:\n  wave:\n    title: A cable\n    says: It falls to (U_end).\n    quantities:\n"
    "      U_end:\n        name: voltage at the end\n        unit: V\n      u_l:\n        name: voltage on the way\n"
    "        unit: V\n    given:\n      U_LL: 400 V\n    read:\n      U_end: lowest u_l, 3 figures in V\n"
    "    across: l_c from 1 m to 100 m\n    plots:\n      - up: voltage in V\n        curves:\n          - find: u_l\n"
    "            is: U_LL - l_c * 1 V/m\n            name: cable\n"
)


def wave(old, new):
    """The whole wave with one change."""
    assert WAVE.count(old) == 1, old
    return WAVE.replace(old, new)


DEEP = "(" * 60 + "1" + ")" * 60
ROOT = "I_L = P / (sqrt(3) * U_LL * pf)"
VAN = "P: from 3.7 kW to 22 kW by 0.1 kW"
SHOWN = "one of 5 %, 25 %, 53 %, 90 %"
SLIP = "wrong:\n          - dU = 2 * l_c * I_L * R_per"

# name: (file, old text or "" to append, new text with ¶ at the place of the fault, what is said)
BROKEN = {
    # the course
    "a course without title": (COURSE, "  id: depot-basics\n  title: Vans in a depot\n", "  ¶id: depot-basics\n", "title: is missing: add a line title: …"),
    "a course of another type": (COURSE, "  title: Vans in a depot", "  title:\n    ¶- a", "title: is a text, not a list"),
    "a currency that is a unit": (COURSE, "EUR", "¶VAR", "three capital letters, like EUR"),
    "a course id with capitals": (COURSE, "depot-basics", "¶Depot", "use small letters, digits and single hyphens"),
    "a gap that is no number": (COURSE, "  currency", "  again after: ¶a week\n  currency", "expected 1 to 100 days: write 7 days"),
    "a gap of nothing": (COURSE, "  currency", "  again after: ¶0 days\n  currency", "expected 1 to 100 days: write 7 days"),
    "a field that does not exist": (COURSE, "  currency", "  ¶curency", "Did you mean currency?"),
    "a second course": ("more.yml", "", "¶course:\n  id: other\n  title: Other\n", "stands already at depot/bank/course.yml:1:1"),
    # sections
    "a misspelt section": (QUESTIONS, "questions:\n", "¶question:\n", '"question" is no section of a bank. Did you mean questions?'),
    "a section that is a list": (SOURCES, "sources:\n  handbook:", "sources:\n  ¶- handbook:", "named entries"),
    "a section that is a text": ("more.yml", "", "formulas: ¶none\n", "named entries"),
    "an entry that is a text": (FORMULAS, "formulas:\n", "formulas:\n  power: ¶P = U * I\n", "an entry holds fields"),
    # modules
    "a module that needs itself": (MODULES, "      - supply", "      - ¶pilot", "runs in a circle, pilot → pilot"),
    "modules that need each other": (
        MODULES, "    title: Supply and cable", "    title: Supply and cable\n    needs: pilot",
        "runs in a circle, supply → pilot → supply: take one of them out", ("      - supply", "      - ¶supply"),
    ),
    "a module that needs a misspelt one": (MODULES, "      - supply", "      - ¶suply", "Did you mean supply?"),
    "half an hour in words": (MODULES, "minutes: 45", "minutes: ¶half an hour", "whole number of minutes"),
    "no minutes at all": (MODULES, "minutes: 45", "minutes: ¶0", "whole number of minutes"),
    "outcomes as a list": (MODULES, "      line-current: You can find the line current.\n      cable:", "      - line-current\n      ¶cable:", "among the entries of a list"),
    "an outcome of two modules": (MODULES, "      pilot-current:", "      ¶unused: You can.\n      pilot-current:", "stands in module supply already", ("      heat:", "      unused: You can not.\n      heat:")),
    "a module named like a device": (MODULES, "", "  ¶con:\n    code: B9\n    title: Console\n    minutes: 5\n    outcomes:\n      x: You can.\n", "device name"),
    # sources
    "a source that is nowhere": (FORMULAS, "handbook, ch. 1", "¶handbok, ch. 1", "Did you mean handbook?"),
    "nothing remembered": (FORMULAS, '"from memory: the constant 235"', "¶from memory", "say what is remembered"),
    # quantities
    "a misspelt unit": (QUANTITIES, "unit: kW", "unit: ¶kw", '"kw" is no unit known here. Did you mean kW?'),
    "a unit that is a list": (QUANTITIES, "    unit: kW", "    unit:\n      ¶- kW", "unit: is a text, not a list"),
    "a quantity named like a function": (QUANTITIES, "", "  ¶sqrt:\n    name: x\n", "word of the expression language"),
    "a quantity named like a unit": (QUANTITIES, "", "  ¶V:\n    name: x\n", '"V" is a unit: add an index, like V_1'),
    "a quantity named like a word": (QUANTITIES, "", "  ¶and:\n    name: x\n", "word of the expression language"),
    "a quantity named like the currency": (QUANTITIES, "", "  ¶EUR:\n    name: x\n", '"EUR" is a unit'),
    "a quantity named in Greek": (QUANTITIES, "", "  ¶Δ:\n    name: x\n", "letters, digits and _"),
    "a range the wrong way round": (QUANTITIES, "0.1 kW and 50 kW", "¶50 kW and 0.1 kW", "the first amount must be the smaller one"),
    "a range in another dimension": (QUANTITIES, "0.1 kW and 50 kW", "¶0.1 A and 50 A", "P is measured in kW"),
    "a range without its percent": (QUANTITIES, "0 % and 100 %", "¶0 and 1", "give the number its unit: 0 %"),
    "a range with one end": (QUANTITIES, "0.1 kW and 50 kW", "¶50 kW", "expected two amounts"),
    "a range for a word": (QUANTITIES, "    unit: word", "    unit: word\n    between: ¶0 and 1", "a word has no range"),
    "a symbol with markup": (QUANTITIES, "symbol: lambda", "symbol: ¶<b>x</b>", "a symbol is one short word"),
    "a quantity twice in a file": (QUANTITIES, "  U_cp:", "  ¶P:\n    name: again\n  U_cp:", "stands in line"),
    "a quantity twice in the bank": ("z.yml", "", "quantities:\n  ¶P:\n    name: again\n    unit: kW\n", "stands already at depot/bank/quantities/all.yml:2:3"),
    # formulas
    "a misspelt quantity in a formula": (FORMULAS, "- " + ROOT, "- I_L = P / (sqrt(3) * ¶U_L * pf)", '"U_L" is no quantity here. Did you mean U_LL?'),
    "a misspelt left side": (FORMULAS, "- " + ROOT, "- ¶I_l = P / (sqrt(3) * U_LL * pf)", "Did you mean I_L?"),
    "another dimension": (FORMULAS, "- " + ROOT, "- I_L = P ¶/ (sqrt(3) * pf)", "the right side gives W, but I_L is measured in A"),
    "no equation": (FORMULAS, "- " + ROOT, "- ¶P / U_LL", "an equation starts with one name"),
    "a formula for itself": (FORMULAS, "- " + ROOT, "- ¶I_L = I_L * 1", "stands on both sides"),
    "a formula solved twice": (FORMULAS, "- " + ROOT, f"- {ROOT}\n      - ¶I_L = P / (1.732 * U_LL * pf)", "given twice from the same quantities"),
    "a huge exponent": (FORMULAS, "- " + ROOT, f"- {ROOT} * 2 ¶^ 999999", "a power is at most 12"),
    "a tower of exponents": (FORMULAS, "- " + ROOT, f"- {ROOT} * 9 ¶^ 9 ^ 9", "put brackets around one of the two powers"),
    "a number beyond all bounds": (FORMULAS, "- " + ROOT, f"- {ROOT} * ¶1e999", "exponent too big"),
    "brackets in brackets": (FORMULAS, "- " + ROOT, f"- {ROOT} * {DEEP[:41]}¶{DEEP[41:]}", "nest more than 40 deep"),
    "an endless expression": (FORMULAS, "- " + ROOT, f"- {ROOT}{' * 1' * 92} ¶* 1 * 1", "longer than 400 characters"),
    "code in an expression": (FORMULAS, "- " + ROOT, "- I_L = ¶__import__(1)", '"_" has no meaning here'),
    "an unknown function": (FORMULAS, "- " + ROOT, f"- {ROOT} * ¶eval(1)", '"eval" is no function'),
    "a bare number with percent": (FORMULAS, "2.5 A/% * (d - 64 %)", "2.5 A/% * (d ¶- 64)", "a bare number is subtracted from a quantity in %: give it its unit"),
    "a bare number with a temperature": (FORMULAS, "(235 K + theta_2) / (235 K + theta_1)", "(235 ¶+ theta_2) / (235 K + theta_1)", "give it its unit"),
    "a temperature twice": (FORMULAS, "(235 K + theta_2) / (235 K + theta_1)", "(235 K + 2 ¶* theta_2) / (235 K + theta_1)", "never multiplied"),
    "a law with a word in it": (FORMULAS, "sqrt(3) * l_c * I_L * R_per", "¶state * 1 V", "state is a word"),
    "neither states nor cases": (FORMULAS, "    states: dU = sqrt(3) * l_c * I_L * R_per\n", "", "either states: or cases:", ("  cable-drop:", "  ¶cable-drop:")),
    "solved as a text in a group": (FORMULAS, "    solved:\n      - theta_2", "    solved:\n      ¶a: b\n      c: theta_2", "solved: is a text, not a group of fields"),
    "a formula without source": (FORMULAS, "    source: common practice\n", "", "source: is missing", ("    title: Voltage drop", "    ¶title: Voltage drop")),
    "a check value without its when": (FORMULAS, "I_L = 27.1 A when P = 15 kW, U_LL = 415 V, pf = 0.77", "¶I_L = 27.1 A", "expected: P = 14.35 kW when"),
    # cases
    "cases with a gap": (FORMULAS, "when: 10 % <= d <= 85 %", "when: 12 % <= d <= 85 %", "no case holds at d = 10 %", ("    cases:\n      - when: d <", "    cases:\n      ¶- when: d <")),
    "cases that overlap": (FORMULAS, "      - when: 10 % <= d <= 85 %", "      - ¶when: 9 % <= d <= 85 %", "cases 1 and 2 both hold at d = 9 %"),
    "cases that meet twice": (FORMULAS, "when: d < 10 %", "when: d <= 10 %", "both hold at d = 10 %", ("      - when: 10 %", "      - ¶when: 10 %")),
    "cases without a range": (QUANTITIES, "    between: 0 % and 100 %\n", "", "d needs between:", (FORMULAS, "      - when: d <", "      - ¶when: d <")),
    "a case without its condition": (FORMULAS, "      - when: d < 10 %\n        then", "      - ¶then", "when: is missing"),
    "a condition that divides by zero": (FORMULAS, "when: d < 10 %", "when: d < 10 % / 0", "a condition has no value at d = 0 %", ("      - when: d", "      ¶- when: d")),
    "a condition about nothing": (FORMULAS, "when: d < 10 %", "when: ¶1 < 2", "a condition names at least one"),
    "a condition about the result": (FORMULAS, "      - when: d < 10 %", "      - ¶when: d < 10 % and I_p < 5 A", "no case can ask for it"),
    "a bare number in a condition": (FORMULAS, "when: d < 10 %", "when: d < ¶10", "a bare number is compared with a quantity in %"),
    "cases for two quantities": (FORMULAS, "then: I_p = 0.6 A/% * d", "then: I_L = 0.6 A/% * d", "the cases give several quantities", ("      - when: d", "      ¶- when: d")),
    "only words, and no quantity": (FORMULAS, "then: I_p = 0.6 A/% * d", "then: some", "only words: add finds:", ("then: I_p = 2.5 A/% * (d - 64 %)", "then: more"), ("wrong:\n          - I_p = 1 A/% * d", "wrong:\n          - d = 1 %"), ("      - when: d", "      ¶- when: d")),
    # slips
    "a slip of another dimension": (FORMULAS, "- I_p = 1 A/% * d", "- I_p = 1 ¶* d", "a slip that mixes units says in which unit"),
    "a slip for a quantity nobody asks": (FORMULAS, "- I_p = 1 A/% * d", "- ¶d = 1 %/A * I_p", "nobody can slip on it"),
    "a slip with an unknown name": (FORMULAS, "- I_p = 1 A/% * d", "- I_p = 1 A/% * ¶dd", '"dd" is nothing to compute with here. Did you mean d?'),
    "a slip without words": (FORMULAS, "        says: >\n          You used the factor 3.\n        wrong:", "        ¶wrong:", "says: is missing"),
    "a slip that is a text": (FORMULAS, "      factor-three:\n        says: >\n          You used the factor 3.\n        wrong:\n          - I_L = P / (3 * U_LL * pf)", "      factor-three: ¶wrong", "needs says: and wrong: below it"),
    "a slip named like a general one": (FORMULAS, "      factor-three:", "      ¶root-3:", "bears the name of a general slip"),
    "a slip that knows the future": (QUESTIONS, "wrong:\n          - dU = 2 * l_c * I_L * R_per", "wrong:\n          - R_per = 1 Ω/(V·km) * dU", "found only after R_per is asked", ("      out-and-back:", "      ¶out-and-back:")),
    # tables
    "a misspelt column": (TABLES, "    from: A_c\n    to: R_per\n    read: equal row", "    from: A_c\n    to: ¶R_pr\n    read: equal row", "Did you mean R_per?"),
    "a table from and to the same": (TABLES, "    from: A_c\n    to: R_per\n    read: equal row", "    from: A_c\n    to: ¶A_c\n    read: equal row", "stands twice"),
    "a row with three values": (TABLES, "      1.5   13.3", "      ¶1.5   13.3 7", "a row has 2 values, this one has 3"),
    "a decimal comma in a row": (TABLES, "      1.5   13.3", "      ¶1.5   13,3", '"13,3" is no number for R_per'),
    "a word in a column of numbers": (TABLES, "      1.5   13.3", "      ¶thin   13.3", '"thin" is no number for A_c'),
    "a row that stands twice": (TABLES, "      1.5   13.3", "      1.5   13.3\n      ¶1.50   13.4", "stands twice"),
    "no rows at all": (TABLES, "    rows: |\n      12   A, no car\n      9    B, car connected\n      6    C, ready\n", "", "either rows: or file:", ("  levels:", "  ¶levels:")),
    "a way of reading that is none": (TABLES, "read: next row up", "read: ¶next row", "use equal row / next row up / between rows"),
    "words read between rows": (TABLES, "    to: state\n    read: equal row", "    to: state\n    read: ¶between rows", "state is a word: use equal row"),
    "a table outside the folder": (TABLES, "file: conductor.csv", "file: ¶../../../conductor.csv", "must lie inside the bank's folder"),
    "a table at a root": (TABLES, "file: conductor.csv", "file: ¶/etc/passwd", "must lie inside the bank's folder"),
    "a table that is not there": (TABLES, "file: conductor.csv", "file: ¶conductors.csv", "cannot be read"),
    "a table that is a folder": (TABLES, "file: conductor.csv", "file: ¶../tables", "no ordinary file"),
    "a CSV with other columns": ("tables/conductor.csv", "A_c,R_per", "A_c,R", "the first line of the file must be A_c,R_per", (TABLES, "file: conductor.csv", "file: ¶conductor.csv")),
    "a CSV with a short row": ("tables/conductor.csv", "4,4.61", "4", "line 4 of the file has 1 values, not 2", (TABLES, "file: conductor.csv", "file: ¶conductor.csv")),
    "a CSV with an open quote": ("tables/conductor.csv", "4,4.61", '4,"4.61', "cannot be read", (TABLES, "file: conductor.csv", "file: ¶conductor.csv")),
    "a CSV with an endless cell": ("tables/conductor.csv", "4,4.61", "4," + "6" * 200_000, "cannot be read", (TABLES, "file: conductor.csv", "file: ¶conductor.csv")),
    "a CSV with falling rows": ("tables/conductor.csv", "4,4.61", "2,4.61", "rising values", (TABLES, "file: conductor.csv", "file: ¶conductor.csv")),
    "a CSV with hidden characters": ("tables/conductor.csv", "4,4.61", "4,\u202e4.61", "cannot be seen", (TABLES, "file: conductor.csv", "file: ¶conductor.csv")),
    "a table named like a formula": (TABLES, "", "  ¶copper:\n    title: x\n    from: U_cp\n    to: state\n    rows: |\n      1   x\n    source: common practice\n", '"copper" is a formula already: give the table another id'),
    # questions: where they belong
    "a misspelt module": (QUESTIONS, "  van-current:\n    module: supply", "  van-current:\n    module: ¶suply", '"suply" is no module here. Did you mean supply?'),
    "a misspelt outcome": (QUESTIONS, "outcome: line-current", "outcome: ¶line-curent", "Did you mean line-current?"),
    "an outcome of another module": (QUESTIONS, "outcome: line-current", "outcome: ¶pilot-current", "belongs to module pilot"),
    "a misspelt kind": (QUESTIONS, "kind: choice", "kind: ¶chioce", "use numeric / look-up / choice / order. Did you mean choice?"),
    "a kind that is a list": (QUESTIONS, "    kind: choice", "    kind:\n      ¶- choice", "kind: is a text, not a list"),
    "a field of another kind": (QUESTIONS, "    right:\n", "    ¶given:\n      P: 11 kW\n    right:\n", '"given" is no field here'),
    "an id that is a path": (QUESTIONS, "  van-current:", "  ¶../van-current:", "use small letters, digits and single hyphens"),
    "an id that is a device": (QUESTIONS, "  van-current:", "  ¶con:", "device name"),
    "an id that is too long": (QUESTIONS, "  van-current:", f"  ¶{'van-' * 20}current:", "an id has at most 60 characters"),
    "a question twice in a file": (QUESTIONS, "  isolate:", "  ¶van-current:\n    kind: choice\n  isolate:", "stands in line 2 already"),
    "a question twice in the bank": (
        "z.yml", "", "questions:\n  ¶which-part:\n    module: pilot\n    outcome: pilot-current\n    kind: choice\n    text: Which?\n"
        "    right:\n      option: this\n      says: yes\n    wrong:\n      option: that\n      says: no\n", "stands already at depot/bank/questions/all.yml:73:3",
    ),
    "an old id that still exists": (QUESTIONS, "was: old-order", "was: ¶van-current", "is a question that still exists"),
    "an old id claimed twice": (QUESTIONS, "    papers: half", "    papers: half\n    was: older", "claimed by van-current too", ("was: old-order", "was: ¶older")),
    "an old id that is a path": (QUESTIONS, "was: old-order", "was: ¶../order", "use small letters"),
    # questions: givens
    "givens as a list": (QUESTIONS, "      d: one of 5", "      ¶- d: one of 5", "given: holds named entries"),
    "a given that is a list": (QUESTIONS, f"      {VAN}", "      P:\n        ¶- 3 kW", "P: is a text, not a list"),
    "a given that is no quantity": (QUESTIONS, f"      {VAN}", f"      ¶P_x: 3 kW\n      {VAN}", '"P_x" is no quantity here'),
    "a given in an unknown unit": (QUESTIONS, VAN, "P: from 3.7 ¶kw to 22 kW by 0.1 kW", "Did you mean kW?"),
    "a given of another dimension": (QUESTIONS, VAN, "P: from ¶3.7 V to 22 V by 0.1 V", "P is measured in kW, but this is V: use kW or another unit of the same kind"),
    "a given without its percent": (QUESTIONS, SHOWN, "one of ¶5, 25, 53, 90", "give the number its unit: 5 %"),
    "a given without its °C": (QUESTIONS, "from 15 °C to 25 °C by 1 °C", "from ¶15 K to 25 K by 1 K", "give the number its unit: 15 °C"),
    "an empty range": (QUESTIONS, VAN, "P: from ¶22 kW to 3.7 kW by 0.1 kW", "the range is empty"),
    "steps that miss the end": (QUESTIONS, VAN, "P: from 3.7 kW to ¶22 kW by 0.2 kW", "the steps do not meet the end of the range"),
    "a step of zero": (QUESTIONS, VAN, "P: from 3.7 kW to 22 kW by ¶0 kW", "the step after by must be above zero"),
    "a million values": (QUESTIONS, VAN, "P: from 1 kW to 11 kW by ¶0.00001 kW", "the range has 1000001 values, at most 100000"),
    "more figures than a float": (QUESTIONS, VAN, "P: from 3.70000000000000001 kW to 22.00000000000000001 kW by ¶0.1 kW", "more than 15 figures: take larger steps"),
    "an exponent without end": (QUESTIONS, VAN, "P: from ¶1e-999999999 kW to 22 kW by 0.1 kW", "an exponent of at most 30"),
    "a step beyond all figures": (QUESTIONS, VAN, "P: from 3.7 kW to 22 kW by ¶1e-29 kW", "take larger steps"),
    "a range in two units": (QUESTIONS, VAN, "P: from ¶3700 W to 22 kW by 0.1 kW", "in one unit"),
    "a range that leaves the plausible": (QUESTIONS, VAN, "P: from ¶3.7 kW to 122 kW by 0.1 kW", "122.0 kW leaves the range of P, 0.1 to 50 kW: check number and unit, or change its between:"),
    "a value that stands twice": (QUESTIONS, SHOWN, "¶one of 5 %, 5.0 %", "a value stands twice"),
    "a given without its unit": (QUESTIONS, VAN, "P: from ¶3.7 to 22 by 0.1", "P is measured in kW, but this is a pure number: give the number its unit, 3.7 kW"),
    "a decimal comma": (QUESTIONS, "U_LL: 400 V", "U_LL: ¶400,5 V", "write the decimal sign as a point"),
    "rows of no table": (QUESTIONS, "any row of conductors", "any row of ¶conductor", '"conductor" is no table here. Did you mean conductors?'),
    "rows of a table without the column": (QUESTIONS, "any row of conductors", "¶any row of levels", "table levels has no column A_c"),
    "a given that is never shown": (QUESTIONS, "supply at power factor (pf =).", "supply.", "the given pf never appears", ("    text: >\n      A van", "    text: ¶>\n      A van")),
    "a given that is never used": (QUESTIONS, "    given:\n      d:", "    given:\n      ¶U_cp: 9 V\n      d:", "the given U_cp is not used by any step", ("shows (d)", "shows (d) and (U_cp)")),
    "a misspelt placeholder": (QUESTIONS, "draws (P) from a (U_LL)", "draws (P) from a ¶(U_L)", "(U_L) is no given here. Did you mean U_LL?"),
    "a placeholder of another question": (QUESTIONS, "The scope shows (d).", "The scope shows (d) and ¶(U_LL).", "(U_LL) is no given here."),
    # questions: steps
    "a misspelt formula": (QUESTIONS, "by: three-phase-power", "by: ¶three-phase-powr", "Did you mean three-phase-power?"),
    "a formula that finds something else": (QUESTIONS, "by: three-phase-power", "by: ¶pilot-duty", "pilot-duty gives no I_L, only I_p"),
    "a step with too little known": (QUESTIONS, "by: three-phase-power", "by: ¶cable-drop", "to find dU by cable-drop, l_c and I_L and R_per must be given", ("    find: I_L\n    by", "    find: dU\n    by"), ("    answer: 3 figures in A\n    keep: I_L < 40 A\n", "    answer: 3 figures in V\n")),
    "a given that is asked": (QUESTIONS, "    find: I_L\n", "    find: ¶P\n", "P is known already", ("keep: I_L <", "keep: 40 A <"), ("40 A < 40 A", "pf < 1")),
    "a misspelt letter": (QUESTIONS, "    by: copper\n", "    by: copper\n    with: theta_1 is theta_1, ¶theta_3 is theta_2\n", 'copper has no letter "theta_3"'),
    "letters that are no pairs": (QUESTIONS, "    by: copper\n", "    by: copper\n    with: ¶theta_1 = theta_1\n", "expected pairs"),
    "a letter of another dimension": (QUESTIONS, "    by: copper\n", "    by: copper\n    with: ¶R_1 is theta_1\n", "°C cannot stand for Ω"),
    "steps that are texts": (QUESTIONS, "      - find: dU\n        by: cable-drop\n        ask: What is the voltage drop?\n        answer: 3 figures in V\n        within: 0.1 V\n", "      - ¶dU\n", "a step holds find:, by:, ask: and answer:", (SLIP, "wrong:\n          - R_per = 2 Ω/(km·mm²) * A_c")),
    "an answer beside the steps": (QUESTIONS, "    steps:\n", "    answer: ¶3 figures in V\n    steps:\n", "belongs to one of the steps below"),
    "an answer in figures of °C": (QUESTIONS, "answer: to 1 °C", "answer: ¶3 figures in °C", "a Celsius temperature is asked in steps"),
    "an answer in another unit": (QUESTIONS, "    ask: What is the line current?\n    answer: 3 figures in A", "    ask: What is the line current?\n    answer: ¶3 figures in V", "I_L is measured in A"),
    "an answer in ninety figures": (QUESTIONS, "    ask: What is the line current?\n    answer: 3 figures in A", "    ask: What is the line current?\n    answer: ¶90 figures in A", "expected: 3 figures in A"),
    "an answer to nothing": (QUESTIONS, "answer: to 1 °C", "answer: to ¶0 °C", "must be above zero"),
    "a tolerance of nothing": (QUESTIONS, "within: 1 K", "within: ¶0 K", "within: is an amount above zero in °C"),
    "a tolerance without its degree": (QUESTIONS, "within: 1 K", "within: ¶1", "within: is an amount above zero in °C"),
    "a unit asked perhaps": (QUESTIONS, "    within: 1 K\n", "    within: 1 K\n    unit asked: ¶maybe\n", "use yes / no"),
    "a word that is to be computed": (QUESTIONS, "    find: I_p\n    by: pilot-duty", "    find: state\n    by: levels", "state is a word, which has no figures: take answer: out", ("(d)", "(U_cp)"), ("d: one of 5 %, 25 %, 53 %, 90 %", "U_cp: any row of levels"), ("    ask: What may the car draw?\n    answer: ", "    ask: What may the car draw?\n    answer: ¶")),
    "a word without its kind": (QUESTIONS, "    find: I_p\n    by: pilot-duty", "    find: ¶state\n    by: levels", "state is a word: add kind: look-up", ("(d)", "(U_cp)"), ("d: one of 5 %, 25 %, 53 %, 90 %", "U_cp: any row of levels"), ("    kind: look-up\n", ""), ("    ask: What may the car draw?\n    answer: 3 figures in A", "    ask: What may the car draw?")),
    "a condition with an unknown name": (QUESTIONS, "keep: I_L < 40 A", "keep: ¶I_p < 40 A", "I_p is neither given nor found in this question"),
    "a condition about constants": (QUESTIONS, "keep: I_L < 40 A", "keep: ¶1 < 2", "compares nothing"),
    "a condition without its unit": (QUESTIONS, "keep: I_L < 40 A", "keep: I_L < ¶40", "a bare number is compared with a quantity in A"),
    "a value as a condition": (QUESTIONS, "keep: I_L < 40 A", "keep: ¶I_L + 40 A", "a comparison such as"),
    "a slip that could not be switched off": (QUESTIONS, "      - factor-2", "      - ¶factor-two", "Did you mean factor-2?"),
    "a quantity of its own that the bank has": (QUESTIONS, "    given:\n      d:", "    quantities:\n      ¶P:\n        name: mine\n        unit: kW\n    given:\n      d:", "is a quantity of the bank already"),
    # choice and order
    "a choice without a right option": (QUESTIONS, "    right:\n      option: A car that is ready\n      says: >\n        Yes: it would pull the level down.\n", "", "right: is missing", ("    module: pilot\n    outcome: pilot-current\n    kind: choice", "    ¶module: pilot\n    outcome: pilot-current\n    kind: choice")),
    "an option that is a text": (QUESTIONS, "      - option: An open pilot line\n        says: >\n          An open line looks just like this.", "      - ¶An open pilot line", "wrong: holds option: and says:"),
    "an option without its reason": (QUESTIONS, "      option: A car that is ready\n      says: >\n        Yes: it would pull the level down.", "      ¶option: A car that is ready", "says: is missing"),
    "an option that stands twice": (QUESTIONS, "option: An open pilot line", "option: ¶A car  that is ready", "stands twice"),
    "an order of two": (QUESTIONS, "      - Prove that it is dead\n", "", "an order has 3 to 10 steps, this one has 2", ("      - Switch", "      ¶- Switch"), ("    says:\n      3 before 2: >\n        Lock first.\n", "")),
    "neighbours that are none": (QUESTIONS, "either way round: 1 and 2", "either way round: ¶1 and 3", "two neighbouring step numbers"),
    "a wrong order that is right": (QUESTIONS, "      3 before 2", "      ¶2 before 3", "expected a wrong order like 4 before 3"),
    "a step that stands twice": (QUESTIONS, "      - Prove that it is dead", "      - Lock the plug away", "a step stands twice", ("      - Switch", "      ¶- Switch")),
    # examples and terms
    "an example with a range": (EXAMPLES, "P: 11 kW", "¶P: from 10 kW to 11 kW by 1 kW", "an example has one value for each given"),
    "an example without its steps": (EXAMPLES, "    steps:\n      - find: I_L\n        by: three-phase-power\n        answer: 3 figures in A\n", "    steps: ¶none\n", "steps: is a list"),
    "an example that asks": (EXAMPLES, "        answer:", "        ¶ask: What?\n        answer:", '"ask" is no field here'),
    "an example with too little known": (EXAMPLES, "      pf: 0.95\n", "", "pf must be given or found before", ("by: three", "by: ¶three")),
    "a term of two entries": ("terms.yml", "", "  ¶other:\n    term: Line Voltage\n    says: x\n", '"Line Voltage" belongs to the term line-voltage already'),
    "a term without meaning": ("terms.yml", "    says: >\n      What a meter shows between two lines.\n", "", "says: is missing", ("    term:", "    ¶term:")),
    # the chain
    "a chain without stages": (CHAIN, "", "chain:\n  ¶modes:\n    slow: slow\n", "stages: is missing"),
    "a stage of a misspelt module": (CHAIN, "", STAGES.replace("module: s", "module: ¶su"), "is no module here. Did you mean supply?"),
    "a stage that is a text": (CHAIN, "", STAGES + "    box: ¶a box\n", 'stage "box" holds name:, does: and module:'),
    "a stage without its meaning": (CHAIN, "", STAGES.replace("name: Wall\n      does: Feeds the van.", "¶name: Wall"), "does: is missing"),
    "a stage beside itself": (CHAIN, "", STAGES + "      beside: ¶wall\n", '"wall" is no other stage'),
    "a stage beside one that stands beside": (CHAIN, "", STAGES + "    ¶b:\n      name: B\n      does: Waits.\n      module: supply\n      beside: c\n    c:\n      name: C\n      does: Waits.\n      module: supply\n      beside: wall\n", "stands beside the chain itself"),
    "a stage named like the whole": (CHAIN, "", STAGES.replace("wall:", "¶chain:"), "chain stands for the whole"),
    "a mode that is a stage": (CHAIN, "", STAGES + "  modes:\n    ¶wall: as it is\n", "is a stage already"),
    "values of nothing": (CHAIN, "", STAGES + "  values:\n    ¶wal:\n      U_LL: 400 V\n", "is no stage and no mode. Did you mean wall?"),
    "values that are a text": (CHAIN, "", STAGES + "  values:\n    wall: ¶400 V\n", "one a line"),
    "a value of no quantity": (CHAIN, "", STAGES + "  values:\n    wall:\n      R_bleed: ¶56 kΩ\n", "write what it is a value of, as in 56 kΩ as R_d"),
    "a value of a misspelt quantity": (CHAIN, "", STAGES + "  values:\n    wall:\n      U: 400 V as ¶U_LN\n", '"U_LN" is no quantity here'),
    "a value in a wrong unit": (CHAIN, "", STAGES + "  values:\n    wall:\n      U_LL: ¶400 A\n", "U_LL is measured in V, but this is"),
    "a value out of range": (CHAIN, "", STAGES + "  values:\n    wall:\n      U_LL: ¶4 V\n", "leaves the range of U_LL"),
    "a value that is a word": (CHAIN, "", STAGES + "  values:\n    wall:\n      now: 5 as ¶state\n", "the chain holds numbers"),
    "a value without a number": (CHAIN, "", STAGES + "  values:\n    wall:\n      U_LL: ¶high\n", '"high" is no amount'),
    "a value with an odd name": (CHAIN, "", STAGES + "  values:\n    wall:\n      ¶5U: 400 V as U_LL\n", "is no name"),
    "a second chain": ("z.yml", "", "¶" + STAGES, "the chain \"chain\" stands already at depot/bank/chain.yml:1:1", (CHAIN, "", STAGES)),
    "a chain that is a list": (CHAIN, "", "chain:\n  ¶- wall\n", "named entries"),
    "an example of a chain that is not there": (EXAMPLES, "U_LL: 400 V", "U_LL: ¶of the chain", "this bank has no chain"),
    "an example of an unknown stage": (EXAMPLES, "U_LL: 400 V", "U_LL: of the ¶wal", "is no stage and no mode of the chain. Did you mean wall?", (CHAIN, "", STAGES)),
    "an example of a value that is not there": (EXAMPLES, "U_LL: 400 V", "U_LL: ¶U_L of the wall", "has no value", (CHAIN, "", STAGES + "  values:\n    wall:\n      U_LL: 400 V\n")),
    "an example of two values": (EXAMPLES, "U_LL: 400 V", "U_LL: ¶of the chain", "say of which, like U_LL of the wall", (CHAIN, "", STAGES + "  modes:\n    slow: slow\n  values:\n    wall:\n      U_LL: 400 V\n    slow:\n      U_LL: 390 V\n")),
    "an example of a value of another kind": (EXAMPLES, "U_LL: 400 V", "U_LL: ¶I_L of the wall", "U_LL is measured in V", (CHAIN, "", STAGES + "  values:\n    wall:\n      I_L: 32 A\n")),
    # pictures
    "a part that is nothing": (PICTURES, "", CIRCUIT.format('¶coyl 1,1 to 3,1 "L"'), '"coyl" is no part. Did you mean coil?'),
    "a part without points": (PICTURES, "", CIRCUIT.format("¶coil"), "expected a part and its points"),
    "a coil with one point": (PICTURES, "", CIRCUIT.format("¶coil 1,1"), "coil has two points"),
    "a dot with two points": (PICTURES, "", CIRCUIT.format("¶dot 1,1 to 2,2"), "dot has one point"),
    "a line to itself": (PICTURES, "", CIRCUIT.format("¶line 1,1 to 1,1"), "ends where it starts"),
    "a side that is none": (PICTURES, "", CIRCUIT.format('¶coil 1,1 to 3,1 "L" top'), "is no side: use left / right"),
    "a text without words": (PICTURES, "", CIRCUIT.format("¶text 1,1"), "a text has its words"),
    "a part far away": (PICTURES, "", CIRCUIT.format("¶line 1,1 to 10000,1"), "expected a part and its points"),
    "a label of a chain that is not there": (PICTURES, "", CIRCUIT.format('¶coil 1,1 to 3,1 "(L_w of the wall)"'), "this bank has no chain"),
    "parts without end": (PICTURES, "", CIRCUIT.replace("      - {}", "      ¶- line 1,1 to 2,2\n" + "      - line 1,1 to 2,2\n" * 300), "at most 300 are drawn"),
    "a picture of nothing": (PICTURES, "", "pictures:\n  loop:\n    ¶title: A loop\n    says: Nothing.\n    across: l_c from 1 m to 2 m\n", "plots: is a list"),
    "a picture without description": (PICTURES, "", CIRCUIT.format("line 1,1 to 2,1").replace("    says: A battery and a resistor.\n", "").replace("title", "¶title"), "says: is missing"),
    "a sweep of nothing": (PICTURES, "", wave("across: l_c", "across: ¶l_x"), '"l_x" is no quantity here'),
    "a sweep of what is given": (PICTURES, "", wave("across: l_c from 1 m to 100 m", "across: ¶U_LL from 1 V to 9 V"), "is given or found already"),
    "a sweep that goes back": (PICTURES, "", wave("from 1 m to 100 m", "from ¶9 m to 1 m"), "from a smaller to a larger amount"),
    "a sweep in a wrong unit": (PICTURES, "", wave("from 1 m to 100 m", "from ¶1 s to 9 s"), "l_c is measured in m"),
    "an axis in a wrong unit": (PICTURES, "", wave("voltage in V\n        curves:\n          - find: u_l", "voltage in A\n        curves:\n          - find: ¶u_l"), "u_l is not measured in A"),
    "an axis without a unit": (PICTURES, "", wave("up: voltage in V", "up: ¶voltage"), "expected: up: voltage in V"),
    "a curve of clashing units": (PICTURES, "", wave("is: U_LL - l_c * 1 V/m", "is: U_LL ¶- l_c"), "m"),
    "a curve that names nothing known": (PICTURES, "", wave("is: U_LL - l_c * 1 V/m", "is: ¶U_L - l_c * 1 V/m"), '"U_L" is not known here'),
    "a curve without a name": (PICTURES, "", wave("          - find: u_l\n            is: U_LL - l_c * 1 V/m\n            name: cable\n", "          - ¶find: u_l\n            is: U_LL - l_c * 1 V/m\n"), "name: is missing"),
    "a curve by no formula": (PICTURES, "", wave("is: U_LL - l_c * 1 V/m", "by: ¶cable-dro"), "is no formula or table here"),
    "a stroke that is none": (PICTURES, "", wave("            name: cable\n", "            name: cable\n            line: ¶wavy\n"), "use solid / dashed / dotted"),
    "a number read off nothing": (PICTURES, "", wave("lowest u_l,", "lowest ¶u_x,"), '"u_x" is no curve here'),
    "a number read off nowhere": (PICTURES, "", wave("lowest u_l, 3 figures in V", "¶deepest u_l, 3 figures in V"), "expected: lowest u_b"),
    "a mark of nothing": (PICTURES, "", WAVE + '        marks:\n          - ¶l_x, U_end "end"\n', '"l_x" is neither given nor found'),
    "a wave without value": (PICTURES, "", wave("  wave:", "  ¶wave:").replace("U_LL - l_c * 1 V/m", "U_LL * sqrt(-l_c / l_c)"), "the picture has no value"),
    # texts and files
    "a hash in a text": (QUESTIONS, "ask: What is the line current?", "ask: What is the line ¶# current?", "#"),
    "a colon in a text": (QUESTIONS, "ask: What is the line current?", "ask: What is this¶: the line current?", ": "),
    "an empty text": (QUESTIONS, "ask: What is the line current?", "ask:¶", "ask: is empty"),
    "a text without end": (QUESTIONS, "The scope shows (d).", "The scope shows (d)." + "\n      and so on" * 500, "longer than 4000 characters", ("    text: >\n      The scope", "    text: ¶>\n      The scope")),
    "a tab": (QUESTIONS, "      U_LL: 400 V", "¶\tU_LL: 400 V", "tab"),
    "an alias bomb": ("bomb.yml", "", "sources:\n  a: ¶&a\n    title: x\n  b: ¶*a\n", "a text cannot begin with"),
    "brackets": (QUESTIONS, "was: old-order", "was: ¶[a, b]", "write each entry on its own line"),
    "nesting without end": ("deep.yml", "", "".join("  " * n + "¶" * (n == 12) + "a:\n" for n in range(200)), "write it flatter"),
    "a second document": (SOURCES, "", "¶---\nsources:\n", "the file ends before this"),
    "an empty file": ("empty.yml", "", "¶", "the file is empty"),
    "a line of a megabyte": ("long.yml", "", "sources:\n  a:\n    title: " + "x" * 19_989 + "¶" + "x" * 900_000 + "\n", "longer than 20000 characters"),
    "a file beyond all bounds": ("long.yml", "", "¶" + "# \n" * 400_000, "larger than 1 MB"),
}  # fmt: skip


def broken(depot, name):
    """The course with the changes of a case made; what is said of it, and where."""
    file, old, new, says, *more = BROKEN[name]
    for one in more:
        depot.change(*one) if len(one) == 3 else depot.change(file, *one)
    depot.change(file, old, new)
    return says, depot.settle()


def told_by_check(depot, capsys):
    """The lines that `quizgen check` prints for a broken course, without the summary, which is right."""
    assert main(["check", "--course", str(depot.folder)]) == 1
    told = capsys.readouterr()
    *lines, summary = told.err.splitlines()
    files = len({line.split(":")[0] for line in lines})
    of = len(list(depot.bank.rglob("*.yml")))
    assert summary == f"{len(lines)} fault{'s' * (len(lines) != 1)} in {files} of {of} files."
    assert told.out == ""
    return lines


def place_of(line):
    """path:line:column at the beginning of a fault's line."""
    return line.split(": ")[0]


@pytest.mark.parametrize("name", BROKEN)
def test_one_broken_line_is_one_fault_at_its_place(depot, name, capsys):
    says, places = broken(depot, name)
    lines = told_by_check(depot, capsys)
    assert [place_of(line) for line in lines] == places != []
    assert [line for line in lines if says not in line] == []
    assert all(line.isprintable() for line in lines)


TOGETHER = (
    "no minutes at all", "a misspelt unit", "a bare number with percent", "a formula without source", "a decimal comma in a row",
    "an id that is a path", "a value that stands twice", "an option that stands twice", "a step that stands twice", "an empty file",
)  # fmt: skip


def test_all_faults_of_all_files_are_told_in_one_run(depot, capsys):
    for name in TOGETHER:
        file, old, new, _, *more = BROKEN[name]
        for one in [*more, (old, new)]:
            depot.change(*one) if len(one) == 3 else depot.change(file, *one)
    places = depot.settle()
    lines = told_by_check(depot, capsys)
    assert [place_of(line) for line in lines] == places
    assert len(lines) == len(TOGETHER)


@pytest.mark.parametrize("name", TOGETHER)
def test_beside_a_file_that_cannot_be_read_a_fault_is_told_as_ever(depot, name, capsys):
    """What may stand in that file is not called missing."""
    says, places = broken(depot, name)
    depot.change(FORMULAS, "formulas:\n", "formulas:\n\t")
    lines = told_by_check(depot, capsys)
    tabs = [line for line in lines if "a tab stands here" in line]
    others = [line for line in lines if line not in tabs]
    assert len(tabs) == 1
    if places[0].startswith(f"depot/bank/{FORMULAS}"):
        assert others == []
    else:
        assert [place_of(line) for line in others] == places
        assert says in others[0]


def test_an_example_without_value_is_a_fault(depot, capsys):
    depot.change(EXAMPLES, "pf: 0.95", "pf: 0")
    (line,) = told_by_check(depot, capsys)
    assert line.startswith("depot/bank/examples.yml:2:3: depot-van: the example has no value: ")


def test_a_file_that_is_no_utf_8_is_told_by_its_byte(depot, capsys):
    path = depot.bank / SOURCES
    path.write_bytes(path.read_bytes().replace(b"A. Writer", b"A. Wr\xeeter"))
    (line,) = told_by_check(depot, capsys)
    assert line == "depot/bank/sources.yml:3:18: byte 0xEE is no UTF-8: save the file as UTF-8"


def test_a_file_that_leads_out_of_the_bank_is_not_read(depot, tmp_path, capsys):
    (tmp_path / "secret.yml").write_text("sources:\n  secret:\n    title: x\n", encoding="utf-8")
    (depot.bank / "z.yml").symlink_to(tmp_path / "secret.yml")
    (line,) = told_by_check(depot, capsys)
    assert line == "depot/bank/z.yml:1:1: this file leads out of the bank's folder: copy it in"


def test_a_table_that_leads_out_of_the_bank_is_not_read(depot, tmp_path, capsys):
    csv = depot.bank / "tables" / "conductor.csv"
    csv.replace(tmp_path / "conductor.csv")
    csv.symlink_to(tmp_path / "conductor.csv")
    (line,) = told_by_check(depot, capsys)
    assert "conductors-in-a-file: the file must lie inside the bank's folder" in line


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with a name here")
@pytest.mark.parametrize("name", ["z.yml", "tables/conductor.csv"])
def test_a_pipe_is_never_waited_for(depot, name, capsys):
    (depot.bank / name).unlink(missing_ok=True)
    os.mkfifo(depot.bank / name)
    (line,) = told_by_check(depot, capsys)
    assert "no ordinary file" in line


def test_a_folder_with_the_name_of_a_file_is_told(depot, capsys):
    (depot.bank / "z.yml").mkdir()
    (line,) = told_by_check(depot, capsys)
    assert line == "depot/bank/z.yml:1:1: this is a folder; a bank file was expected"


def test_a_bank_without_course_says_what_to_add(depot, capsys):
    (depot.bank / COURSE).unlink()
    (line,) = told_by_check(depot, capsys)
    assert line == "depot/bank/course.yml:1:1: no course: here: add course.yml with course:, id: and title:"


def test_a_folder_without_bank_says_what_was_expected(tmp_path, capsys):
    (tmp_path / "empty").mkdir()
    with pytest.raises(BankError) as caught:
        load_bank(tmp_path / "empty")
    assert str(caught.value) == "empty/bank:1:1: no bank here: expected a folder bank/ with course.yml in it"


def test_hidden_and_editor_files_are_passed_over_and_capital_endings_are_not(depot):
    (depot.bank / ".hidden.yml").write_text("{{", encoding="utf-8")
    (depot.bank / "notes.txt").write_text("{{", encoding="utf-8")
    (depot.bank / "LAST.YML").write_text("sources:\n  last:\n    title: x\n", encoding="utf-8")
    assert "last" in load_bank(depot.folder).sources


def test_modules_in_a_chain_of_thousands_are_no_circle(depot):
    chain = "".join(
        f"  m{n}:\n    code: X\n    title: x\n    needs: m{n + 1}\n    minutes: 1\n    outcomes:\n      o{n}: You can.\n"
        for n in range(3000)
    )
    depot.change(MODULES, "modules:\n", f"modules:\n{chain}".replace("needs: m3000", "needs: supply"))
    assert len(load_bank(depot.folder).modules) == 3002


MARKUP = "<script>alert(1)</script> & \"x\" <b>'y'</b> {{ z }} [l](javascript:u) | #"


def marked_up(line, following):
    """The lines of a bank file with markup before every text an author writes for people."""
    key, _, value = line.partition(": ")
    name, indent = key.strip(" -"), " " * (len(key) - len(key.lstrip(" -")))
    if value == ">":
        return [line, re.sub(r"\S", lambda first: f"{MARKUP} {first[0]}", next(following), count=1)]
    if name in (
        "title",
        "name",
        "also",
        "option",
        "ask",
        "author",
        "publisher",
        "year",
        "code",
        "holds for",
    ) or (re.match(r"You can", value)):
        return [f"{key}: >", f"{indent}  {MARKUP} {value}"]
    if line.startswith("      - ") and re.search("Switch|Lock|Prove", line):
        return ["      - >", f"        {MARKUP} {line.strip(' -')}"]
    return [line]


def test_markup_in_every_text_is_kept_as_text(depot, capsys):
    """The site escapes it; here it is neither run nor refused nor changed."""
    changed = 0
    for path in depot.bank.rglob("*.yml"):
        lines = path.read_text(encoding="utf-8").splitlines()
        following = iter(lines)
        kept = [one for line in following for one in marked_up(line, following)]
        changed += sum(MARKUP in line for line in kept)
        path.write_text("\n".join(kept) + "\n", encoding="utf-8")
    bank = load_bank(depot.folder)
    assert changed == 66
    assert bank.course.title == f"{MARKUP} Vans in a depot"
    assert bank.quantities["P"].name == f"{MARKUP} power"
    assert bank.questions["which-part"].options[0].option == f"{MARKUP} A car that is ready"
    assert bank.questions["isolate"].order[0] == f"{MARKUP} Switch off and unplug"
    assert bank.questions["van-current"].text[0] == f"{MARKUP} A van draws "
    assert main(["check", "--course", str(depot.folder)]) == 0
    for question in bank.questions:
        assert main(["show", question, "--course", str(depot.folder)]) == 0
    assert f"{MARKUP} You used the factor 2." in capsys.readouterr().out


def test_a_bank_whose_lines_are_damaged_at_random_never_ends_in_a_traceback(depot, capsys):
    """Three hundred banks, each with one to three lines cut, doubled, swapped, indented or stuffed."""
    source = random.Random(2001)
    files = {
        path: path.read_text(encoding="utf-8").splitlines(keepends=True) for path in sorted(depot.bank.rglob("*.*"))
    }
    stuffing = (
        "9" * 40,
        " / 0",
        "(",
        " %",
        "-",
        "\u202e",
        "one of ",
        "kW",
        "{",
        "&a ",
        "1e-400",
        "\t",
        ": ",
        "é",
        "#",
        "''",
    )
    ends = {"whole": 0, "faulty": 0}
    for _ in range(300):
        path = source.choice(list(files))
        lines = list(files[path])
        for _ in range(source.randint(1, 3)):
            _damage(lines, source, stuffing)
        path.write_text("".join(lines), encoding="utf-8")
        try:
            load_bank(depot.folder)
            ends["whole"] += 1
        except BankError as error:
            ends["faulty"] += 1
            assert all(re.fullmatch(r"depot/bank/\S+:\d+:\d+: \S.*", str(fault)) for fault in error.faults)
        path.write_text("".join(files[path]), encoding="utf-8")
    assert ends["faulty"] > 200 and ends["whole"] > 10


def _damage(lines, source, stuffing):
    at = source.randrange(len(lines))
    other = source.randrange(len(lines))
    way = source.randrange(7)
    if way == 0 and len(lines) > 1:
        del lines[at]
    elif way == 1:
        lines.insert(at, lines[other])
    elif way == 2:
        lines[at], lines[other] = lines[other], lines[at]
    elif way == 3:
        lines[at] = "  " * source.randint(0, 3) + lines[at]
    elif way == 4:
        cut = source.randrange(len(lines[at]))
        lines[at] = lines[at][:cut] + source.choice(stuffing) + lines[at][cut:]
    elif way == 5:
        words = re.findall(r"\w+", "".join(lines))
        lines[at] = re.sub(r"\w+", lambda _: source.choice(words), lines[at], count=1)
    else:
        cut = source.randrange(len(lines[at]))
        lines[at] = lines[at][:cut] + "\n"


# What only drawing the numbers shows. The place is that of the question's name.

DRAWN = {
    "a division by zero everywhere": (
        "pf: one of 0.95, 0.98", "pf: one of 0", "only 0 variants pass of 184 draws, at least 12 are needed. Why: I_L has no value (184)",
    ),
    "a condition that never holds": ("keep: I_L < 40 A", "keep: I_L > 190 A", "Why: keep does not hold (368)"),
    "a condition that hardly ever holds": ("keep: I_L < 40 A", "keep: I_L < 5.8 A", "at least 12 are needed. Why: keep does not hold"),
    "an answer that leaves its range": ("P: from 3.7 kW to 22 kW by 0.1 kW\n      U_LL: 400 V", "P: from 40 kW to 50 kW by 0.1 kW\n      U_LL: 100 V", "I_L leaves its range"),
    "too few values": ("P: from 3.7 kW to 22 kW by 0.1 kW", "P: from 7 kW to 8 kW by 0.2 kW", "at least 12 are needed. Why: "),
    "a single figure": ("answer: 3 figures in A\n    keep", "answer: 1 figure in A\n    without:\n      - factor-three\n      - no-root-three\n    keep", "I_L: tolerance above 2 % (368)"),
    "a slip that is right": (
        "    keep: I_L < 40 A", "    slips:\n      right:\n        says: x\n        wrong: I_L = 1 * P / (sqrt(3) * U_LL * pf)",
        "slip right equals the right answer in all 368 draws: mend its wrong:, or drop it here with without: right",
    ),
    "a slip that is nearly right": (
        "    keep: I_L < 40 A", "    slips:\n      near:\n        says: x\n        wrong: I_L = 0.999 * P / (sqrt(3) * U_LL * pf)",
        "slip near equals the right answer in all 368 draws",
    ),
    "a slip that is right more often than not": (
        "    keep: I_L < 40 A", "    slips:\n      often:\n        says: x\n        wrong: I_L = (1 + 2 * (pf - 0.95)) * P / (sqrt(3) * U_LL * pf)",
        "slip often lies too near the right answer in 104 of 200 draws: narrow the givens",
    ),
    "two slips that fall together": (
        "    keep: I_L < 40 A", "    slips:\n      other:\n        says: x\n        wrong: I_L = P / (3.001 * U_LL * pf)",
        "slips factor-three and other fall together (368): give both slips the same words, or leave one of them out",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", DRAWN)
def test_a_question_that_cannot_be_drawn_says_why(depot, name, capsys):
    old, new, says = DRAWN[name]
    depot.change(QUESTIONS, old, new)
    (line,) = told_by_check(depot, capsys)
    assert line.startswith("depot/bank/questions/all.yml:2:3: van-current: ")
    assert says in line
