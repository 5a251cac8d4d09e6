"""Trying every plan, without a bit of the solver: suspects as sets of names, nothing kept, nothing left out.

For small workshops only. A plan isolates whenever it likes; a charge attempt or a drive waits until nobody
forbids it; where proving dead fails the work stops.
"""

from dataclasses import dataclass, field

INFINITE = float("inf")


@dataclass
class Bench:
    """A workshop in plain words. `shows`: by test, then suspect, what is seen; times in minutes."""

    weights: dict[str, int]
    parts: dict[str, str]
    minutes: dict[str, int]
    shows: dict[str, dict[str, int]]
    needs: dict[str, str] = field(default_factory=dict)
    box: dict[str, str] = field(default_factory=dict)
    boxes: dict[str, int] = field(default_factory=dict)
    forbidden: dict[str, set[str]] = field(default_factory=dict)
    """By test, the suspects with whom it may not be made."""
    isolation: int = 0
    energising: int = 0
    still_live: set[str] = field(default_factory=set)


def tried(bench, suspects, dead=False, opened=frozenset()):
    """Least expected minutes times weight, by trying every plan."""
    if len({bench.parts[name] for name in suspects}) <= 1:
        return 0
    best = INFINITE
    weight = sum(bench.weights[name] for name in suspects)
    if not dead:
        after = frozenset(suspects - bench.still_live)
        useful = after != suspects or any(bench.needs[test] == "dead" for test in bench.minutes)
        if useful:
            best = bench.isolation * weight + tried(bench, after, True)
    for test, minutes in bench.minutes.items():
        groups = {}
        for name in suspects:
            groups.setdefault(bench.shows[test][name], set()).add(name)
        need = bench.needs[test]
        if len(groups) == 1 or (need == "dead" and not dead) or bench.forbidden.get(test, set()) & suspects:
            continue
        cost, dead_after, open_after = minutes, dead, opened
        if need == "live" and dead:
            cost, dead_after, open_after = cost + bench.energising, False, frozenset()
        if test in bench.box and bench.box[test] not in opened:
            cost, open_after = cost + bench.boxes[bench.box[test]], opened | {bench.box[test]}
        later = sum(tried(bench, frozenset(group), dead_after, open_after) for group in groups.values())
        best = min(best, cost * weight + later)
    return best
