"""Another van with the same complaint: a fault drawn by the weights, so that a case can be given more than once."""

from __future__ import annotations

import hashlib

from quizgen.tracing.play import ISOLATE, Compiled, after, done, minutes, start


def another(case: Compiled, number: int) -> Compiled:
    """The case with the fault of van `number`; 0 is the van it was written about. The same number gives the same van.

    `says` is about the first van and is left out where the fault is another.
    """
    if number == 0:
        return case
    drawn_from = [suspect["id"] for suspect in case["suspects"] for _ in range(suspect["weight"])]
    digest = hashlib.sha256(f"{case['id']}\n{number}".encode()).digest()
    fault = drawn_from[int.from_bytes(digest[:8], "big") % len(drawn_from)]
    return {**case, "fault": fault, "says": case["says"] if fault == case["fault"] else "", "path": path(case, fault)}


def path(case: Compiled, fault: str) -> list[tuple[str, float]]:
    """The best order for the van with this fault: actions with their minutes, to the proof or to the stop."""
    true = [suspect["id"] for suspect in case["suspects"]].index(fault)
    standing, made = start(case), []
    while not done(case, standing):
        action = case["values"][standing.key()][1]
        made.append((action, float(minutes(case, standing, action))))
        standing = next(one for one in after(case, standing, action) if one.suspects >> true & 1)
        if action == ISOLATE and not standing.dead:
            break
    return made
