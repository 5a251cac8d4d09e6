"""What each test costs on one footing (live, or dead with certain boxes open), and the least that must be paid.

A footing is a number: 0 live, else 1 plus twice the opened boxes as bits.
"""

from __future__ import annotations

from functools import cached_property

from quizgen.tracing.steps import INFINITE, Number, Workshop, members

LIVE, DEAD = 0, 1


class Footing:
    """Minutes of every test from here with its set-ups, and the footing it leaves. All lists go by test."""

    def __init__(self, workshop: Workshop, number: int, shows: list[list[int]], part_of: list[int]) -> None:
        """`shows`: by test, then suspect, all suspects that show the same; `part_of`: by suspect, its whole part."""
        self._workshop, self._shows, self._part_of = workshop, shows, part_of
        self.isolating: Number = workshop.isolation + (workshop.energising if number else 0)
        """Minutes to prove dead anew."""
        self.with_setups: list[Number] = []
        """Minutes once everything is done for the test that it needs, isolating included."""
        self.allowed: list[bool] = []
        """Whether the test can be made without isolating first."""
        self.after: list[int] = []
        for step in workshop.steps:
            minutes, after, allowed = step.minutes, number, True
            if step.needs == "live" and number != LIVE:
                minutes, after, allowed = minutes + workshop.energising, LIVE, workshop.energising != INFINITE
            if step.needs == "dead" and number == LIVE:
                minutes, after, allowed = minutes + workshop.isolation, DEAD, False
            if step.box >= 0:
                minutes = minutes + (0 if number >> 1 >> step.box & 1 else workshop.boxes[step.box])
                after |= 2 << step.box
            self.with_setups.append(minutes)
            self.after.append(after)
            self.allowed.append(allowed)

    def least(self, suspects: int) -> Number:
        """Minutes times weight that no plan from here stays below; infinite where none comes to an end.

        Whoever is to blame, some test on the way tells it from each suspect of another part. So its way costs at
        least the cheapest test, set-ups included, that tells it from the suspect it is dearest to tell it from.
        """
        total: Number = 0
        for index in members(suspects):
            for minutes, others in self._apart[index]:
                if others & suspects:
                    if minutes == INFINITE:
                        return INFINITE
                    total = total + self._workshop.weights[index] * minutes
                    break
        return total

    def least_worst(self, suspects: int) -> Number:
        """The same bound for the unluckiest suspect: minutes alone."""
        ways = ((m for m, others in self._apart[index] if others & suspects) for index in members(suspects))
        return max(next(way, 0) for way in ways)

    @cached_property
    def _apart(self) -> list[list[tuple[Number, int]]]:
        """By suspect, dearest first: minutes, and the suspects of other parts that nothing cheaper tells it from."""
        live, everyone = self._workshop.still_live, (1 << len(self._part_of)) - 1
        proving = [0 if live >> index & 1 else everyone & ~live for index in range(len(self._part_of))]
        ways = sorted(
            [*zip(self.with_setups, self._shows, strict=True), (self.isolating, proving)], key=lambda way: way[0]
        )
        made = []
        for index, part in enumerate(self._part_of):
            left, rows = everyone & ~part, []
            for minutes, alike in ways:
                if left & ~alike[index]:
                    rows.append((minutes, left & ~alike[index]))
                    left &= alike[index]
            made.append([*([(INFINITE, left)] if left else []), *reversed(rows)])
        return made
