"""What a candidate types who knows everything, and what one types who slips."""

from quizgen.expression.writing import Rounding, digits
from quizgen.papers.mark import right_letters, right_ranks


def right(issue):
    """The right answers of a paper, by question and box."""
    return [question(one) for one in issue.questions]


def question(one):
    if one.question["kind"] == "choice":
        return [right_letters(one)]
    if one.question["kind"] == "order":
        return [right_ranks(one)]
    steps = one.question["steps"][-len(one.marks) :]
    kept = one.variant["answers"][-len(one.marks) :]
    return [number(step, answer["key"]) for step, answer in zip(steps, kept, strict=True)]


def number(step, value):
    """An SI value as asked for, in the unit asked for."""
    return digits(value / step["factor"], Rounding(**step["rounding"]))
