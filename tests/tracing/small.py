"""Small workshops for trials of the solver: tests as rows of what every suspect shows."""

from fractions import Fraction

from quizgen.tracing.order import State, Step, Workshop, masks


def workshop(weights, rows, minutes=None, **more):
    """Tests t1, t2, … from what every suspect shows; each suspect its own part unless `parts` is given."""
    n = len(weights)
    minutes = minutes or [1] * len(rows)
    steps = tuple(Step(f"t{i}", m, o) for i, (m, o) in enumerate(zip(minutes, masks(rows, n), strict=True), 1))
    return Workshop(tuple(weights), more.pop("parts", tuple(range(n))), steps, **more)


def chain(weights, minutes=None):
    """A series of modules; a probe after module i tells on which side of it the fault lies."""
    n = len(weights)
    return workshop(weights, [[k > i for k in range(n)] for i in range(n - 1)], minutes)


def root(made):
    return State((1 << len(made.weights)) - 1)


def decimals(text):
    """Exact numbers from decimals with spaces between."""
    return [Fraction(part) for part in text.split()]
