"""The tree of an expression: what the parser makes and every other file of this room reads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from quizgen.expression.units import Unit

FUNCTIONS = {
    "sqrt": 1, "exp": 1, "ln": 1, "log10": 1,
    "sin": 1, "cos": 1, "tan": 1, "asin": 1, "acos": 1, "atan": 1,
    "abs": 1, "round": 1, "floor": 1, "ceil": 1,
    "min": 0, "max": 0,
}  # fmt: skip
"""Functions of the language and how many arguments they take; 0 stands for two or more."""

CONSTANTS = ("pi",)
LOGIC = ("and", "or")
WORDS = frozenset((*FUNCTIONS, *CONSTANTS, *LOGIC))
"""Words of the language: no quantity may bear such a name."""


@dataclass(frozen=True, slots=True)
class Number:
    """A bare number, with its text as the author wrote it."""

    value: float
    text: str
    at: int


@dataclass(frozen=True, slots=True)
class Measure:
    """A number with a unit: `0.6 A/%`. `value` counts in that unit, not in SI."""

    value: float
    text: str
    unit: Unit
    at: int

    @property
    def si(self) -> float:
        return self.value * float(self.unit.factor)


@dataclass(frozen=True, slots=True)
class Name:
    id: str
    at: int


@dataclass(frozen=True, slots=True)
class Constant:
    id: str
    at: int


@dataclass(frozen=True, slots=True)
class Negative:
    of: Expression
    at: int


@dataclass(frozen=True, slots=True)
class Binary:
    """`op` is one of + - * / ^."""

    op: str
    left: Expression
    right: Expression
    at: int


@dataclass(frozen=True, slots=True)
class Call:
    function: str
    arguments: tuple[Expression, ...]
    at: int


@dataclass(frozen=True, slots=True)
class Chain:
    """A chained comparison: `10 % <= d <= 85 %` has three terms and two signs."""

    terms: tuple[Expression, ...]
    signs: tuple[str, ...]
    at: int


@dataclass(frozen=True, slots=True)
class Logic:
    """`op` is `and` or `or`; every part is a Chain or a Logic."""

    op: str
    parts: tuple[Expression, ...]
    at: int


Expression = Number | Measure | Name | Constant | Negative | Binary | Call | Chain | Logic


@dataclass(frozen=True, slots=True)
class Equation:
    """`P = U * I`: one name on the left, an expression on the right, and the text as written."""

    left: str
    right: Expression
    text: str


def children(tree: Expression) -> tuple[Expression, ...]:
    match tree:
        case Negative(of=of):
            return (of,)
        case Binary(left=left, right=right):
            return (left, right)
        case Call(arguments=arguments):
            return arguments
        case Chain(terms=terms):
            return terms
        case Logic(parts=parts):
            return parts
        case _:
            return ()


def walk(tree: Expression) -> Iterator[Expression]:
    """Every node of the tree, parents before children."""
    yield tree
    for child in children(tree):
        yield from walk(child)


def names(tree: Expression) -> tuple[str, ...]:
    """Names in the order in which they appear, each once."""
    # Asked for every form of every formula and slip, so without the generators of `walk`.
    found: dict[str, None] = {}
    waiting = [tree]
    while waiting:
        node = waiting.pop()
        if isinstance(node, Name):
            found[node.id] = None
        elif isinstance(node, Binary):
            waiting += (node.right, node.left)
        elif not isinstance(node, Number | Measure):
            waiting += reversed(children(node))
    return tuple(found)


def rename(tree: Expression, new: dict[str, str]) -> Expression:
    """The same tree with names replaced; names not in `new` stay."""
    match tree:
        case Name(id=id, at=at):
            return Name(new.get(id, id), at)
        case Negative(of=of, at=at):
            return Negative(rename(of, new), at)
        case Binary(op=op, left=left, right=right, at=at):
            return Binary(op, rename(left, new), rename(right, new), at)
        case Call(function=function, arguments=arguments, at=at):
            return Call(function, tuple(rename(a, new) for a in arguments), at)
        case Chain(terms=terms, signs=signs, at=at):
            return Chain(tuple(rename(t, new) for t in terms), signs, at)
        case Logic(op=op, parts=parts, at=at):
            return Logic(op, tuple(rename(p, new) for p in parts), at)
        case _:
            return tree
