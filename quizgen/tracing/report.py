"""What there is to trace, in numbers and in words, for `quizgen check`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from quizgen.bank.faults import Fault
from quizgen.tracing.data import Tracing
from quizgen.tracing.modes import Apart
from quizgen.tracing.whole import Whole


def counts(
    tracing: Tracing | None, traced: dict[str, Any], unsolved: Sequence[Fault], whole: Whole, modes: Apart
) -> dict[str, Any]:
    """`cases`, `chain_faults`, `tests` and `unsolvable`; all 0 where a course has no tracing.

    Where there is one, `whole_chain`: `suspects`, `minutes`, `worst` and `first` with every fault possible; and
    `modes`: for each mode and battery voltage the pairs of faults in different parts that it does not tell apart.
    """
    made: dict[str, Any] = {
        "cases": len(tracing.cases) if tracing else 0,
        "chain_faults": sum(bool(fault.change) for fault in tracing.faults.values()) if tracing else 0,
        "tests": sum(test.needs != "told" for test in tracing.tests.values()) if tracing else 0,
        "unsolvable": len({fault.owner for fault in unsolved}),
    }
    return made | ({"whole_chain": whole, "modes": modes} if tracing else {})


def words(report: dict[str, Any], traced: dict[str, Any]) -> list[str]:
    """Lines for a person; none where there is nothing to trace."""
    if not traced:
        return []
    lines = [
        f"Fault tracing: {report['chain_faults']} faults, {report['tests']} tests, {report['cases']} cases, "
        "each solved for its best order of tests:"
    ]
    for case in traced["cases"].values():
        if case["outside"]:
            lines.append(f"  {case['id']}: outside the method")
        else:
            lines.append(
                f"  {case['id']}: {len(case['suspects'])} suspects, best {case['minutes']:.1f} minutes on average, "
                f"{case['worst']:.0f} at worst"
            )
    lines += _whole(report["whole_chain"]) + _modes(report["modes"])
    pairs = traced["inseparable"]
    lines.append("  Pairs of parts that no test separates: " + (", ".join(" and ".join(p) for p in pairs) or "none"))
    return lines


def _whole(whole: Whole) -> list[str]:
    head = f"  The whole chain, all {whole['suspects']} possible: "
    if whole["minutes"] is None:
        return [head + "no order of tests comes to an end"]
    return [
        f"{head}best {whole['minutes']:.1f} minutes on average, {whole['worst']:.0f} at worst, {whole['first']} first"
    ]


def _modes(modes: Apart) -> list[str]:
    """How many modes tell all faults apart, then one line for each that does not."""
    if not modes:
        return []
    wrong = {id: ", ".join(" and ".join(pair) for pair in pairs) for id, pairs in modes.items() if pairs}
    lines = [f"  {id}: not told apart are {pairs}" for id, pairs in wrong.items()]
    return [f"  Modes that tell all faults of different parts apart: {len(modes) - len(wrong)} of {len(modes)}", *lines]
