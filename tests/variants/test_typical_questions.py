"""The questions a trainer would write first each ship enough variants, and their numbers are right.

They are looked for by the formula they rest on, so that a question may be renamed.
"""

import math

import pytest

TURN = complex(-0.5, math.sqrt(0.75))
"""A third of a turn, as a phasor."""

TYPICAL = {
    "three-phase current": (
        "three-phase-power", "I_L", lambda k: k["P"] / (math.sqrt(3) * k["U_LL"] * k["pf"]),
    ),
    "duty of a boost stage": ("boost-duty", "D", lambda k: 1 - k["U_S"] / k["U_B"]),
    "time of an RC discharge": (
        "discharge-time", "t", lambda k: k["R_d"] * k["C_b"] * math.log(k["U_0"] / k["U_end"]),
    ),
    "resistance at a temperature": (
        "copper-resistance", "R_2", lambda k: k["R_1"] * (235 + k["theta_2"]) / (235 + k["theta_1"]),
    ),
    "law of the pilot": (
        "pilot-duty", "I_p", lambda k: 100 * k["d"] * 0.6 if k["d"] <= 0.85 else (100 * k["d"] - 64) * 2.5,
    ),
    "current in the neutral": (
        "neutral-current", "I_N",
        lambda k: abs(k["I_1"] + k["I_2"] * TURN + k["I_3"] * TURN.conjugate()),
    ),
}  # fmt: skip


def steps_by(bank, law):
    """(question, index of the step, letters) of every calculating step that rests on a law."""
    return [
        (question, index, dict(step.letters))
        for question in bank.questions.values()
        if question.kind == "numeric"
        for index, step in enumerate(question.steps)
        if step.by == law
    ]


@pytest.mark.parametrize("name", TYPICAL)
def test_a_typical_question_ships_at_least_twelve_variants_with_right_keys(course, name):
    bank, compiled = course
    law, find, published = TYPICAL[name]
    found = [(q, index, letters) for q, index, letters in steps_by(bank, law) if q.steps[index].find == letters[find]]
    assert found, f"no question finds {find} by {law}"
    assert max(len(compiled[question.id]["variants"]) for question, _, _ in found) >= 12
    for question, index, letters in found:
        made = compiled[question.id]
        assert len(made["variants"]) >= 12 or made["counts"]["finite"]
        for variant in made["variants"]:
            known = {g["id"]: float(t) * g["factor"] for g, t in zip(made["givens"], variant["given"], strict=True)}
            known |= {s["find"]: a["key"] for s, a in zip(made["steps"], variant["answers"], strict=True) if "key" in a}
            values = {letter: known[quantity] for letter, quantity in letters.items() if quantity in known}
            assert variant["answers"][index]["key"] == pytest.approx(published(values), rel=1e-9, abs=1e-9)
