"""From text to tree, by a small parser of our own: nothing an author writes is ever executed.

Grammar, loosest first:

    logic      = conjunction { "or" conjunction }
    conjunction= relation { "and" relation }
    relation   = sum { ("<" | "<=" | ">" | ">=" | "=" between terms of a condition) sum }
    sum        = product { ("+" | "-") product }
    product    = sign { ("*" | "/") sign }
    sign       = "-" sign | power
    power      = atom [ "^" sign ]
    atom       = number [ " " unit ] | name | function "(" logic { "," logic } ")" | "(" logic ")"

A unit follows its number after exactly one space and has no spaces of its own, so that
`0.6 A/% * d` and `P / (3 * U)` read without guessing.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from quizgen.expression.evaluate import scalar
from quizgen.expression.tree import (
    CONSTANTS,
    FUNCTIONS,
    WORDS,
    Binary,
    Call,
    Chain,
    Constant,
    Equation,
    Expression,
    Logic,
    Measure,
    Name,
    Negative,
    Number,
    names,
)
from quizgen.expression.units import STANDARD, UnitError, UnitList, printable, read_unit

MAX_LENGTH = 400
MAX_DEPTH = 40
MAX_DIGITS = 30
MAX_POWER = 12


class ExpressionError(ValueError):
    """A text that is no expression. `at` is the offset of the fault in the text."""

    def __init__(self, message: str, at: int) -> None:
        super().__init__(message)
        self.at = at


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str
    text: str
    at: int
    unit: str = ""
    unit_at: int = 0


_NUMBER = re.compile(r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]*")
_UNIT_START = "A-Za-z%°Ωµ€£$¤\u2126\u03bc\u2103\u00ba\u02da"
_UNIT_REST = rf"(?:\^-|[{_UNIT_START}0-9_^·*./\u22c5\u2219¹²³⁴⁻])"
_UNIT = re.compile(rf"(?:[{_UNIT_START}]|1/(?=[{_UNIT_START}(])){_UNIT_REST}*(?:\([^()\s]*\))?")
_BARE_UNIT = re.compile(r"[%°Ωµ€£$¤\u2126\u03bc\u2103\u00ba\u02da¹²³⁴⁻]")
_WRONG_SIGNS = {
    "**": "write ^ for a power", "==": "write = for equal", "=>": "write >=", "=<": "write <=",
    "<>": "join two comparisons with or", "!=": "join two comparisons with or",
}  # fmt: skip
_SIGNS = ("<=", ">=", "<", ">", "=", "+", "-", "*", "/", "^", "(", ")", ",")
_MEANT = {
    "\u2212": "-", "\u2013": "-", "×": "*", "·": "*", "\u22c5": "*", "÷": "/", ":": "/",
    "≤": "<=", "≥": ">=", "√": "sqrt( )", "π": "pi", "|": "abs( )", ";": ",",
    "\u00a0": "an ordinary space", "\u202f": "an ordinary space", "\u2009": "an ordinary space",
    "\t": "an ordinary space",
}  # fmt: skip


def parse(text: str, units: UnitList = STANDARD) -> Expression:
    """The tree of an expression. Raises ExpressionError with the place of the fault."""
    return _Parser(text, units).whole()


def parse_equation(text: str, units: UnitList = STANDARD) -> Equation:
    """`name = expression`. Raises ExpressionError."""
    found = re.match(r"\s*([A-Za-z][A-Za-z0-9_]*)\s*=(?![=<>])", text)
    if not found:
        raise ExpressionError('an equation starts with one name and "=", like P = U * I', 0)
    if found.group(1) in WORDS:
        raise ExpressionError(f'"{found.group(1)}" is a word of the language, no quantity', found.start(1))
    # Blanks keep every offset as the author sees it.
    body = " " * found.end() + text[found.end() :]
    right = parse(body, units)
    if isinstance(right, Chain | Logic):
        raise ExpressionError("the right side of an equation is a value, not a comparison", found.end())
    return Equation(found.group(1), right, text.strip())


def parse_condition(text: str, units: UnitList = STANDARD) -> Expression:
    """A comparison, chained or joined by and/or. Raises ExpressionError."""
    tree = parse(text, units)
    if not isinstance(tree, Chain | Logic):
        raise ExpressionError("a comparison such as I_L <= 32 A is expected here", 0)
    return tree


def _tokens(text: str) -> list[_Token]:
    if len(text) > MAX_LENGTH:
        message = f"the expression is longer than {MAX_LENGTH} characters: split it into steps"
        raise ExpressionError(message, MAX_LENGTH)
    made: list[_Token] = []
    at = 0
    while at < len(text):
        character = text[at]
        if character in " \n":
            at += 1
            continue
        if found := _NUMBER.match(text, at):
            at = _number(text, found, made)
            continue
        if found := _NAME.match(text, at):
            made.append(_Token("name", found.group(), at))
            at = found.end()
            continue
        if wrong := next((w for w in _WRONG_SIGNS if text.startswith(w, at)), ""):
            raise ExpressionError(f'"{wrong}" has no meaning here: {_WRONG_SIGNS[wrong]}', at)
        sign = next((s for s in _SIGNS if text.startswith(s, at)), "")
        if not sign:
            meant = _MEANT.get(character, "")
            hint = f": write {meant}" if meant else ""
            if _BARE_UNIT.match(character):
                hint = ": a unit follows its number after one space, like 64 %"
            raise ExpressionError(f"{printable(character)} has no meaning here{hint}", at)
        made.append(_Token("sign", sign, at))
        at += len(sign)
    return made


def _number(text: str, found: re.Match[str], made: list[_Token]) -> int:
    """Append the number, with its unit if one follows after a space, and return where to go on."""
    number, at, end = found.group(), found.start(), found.end()
    if len(number) > MAX_DIGITS or abs(int(re.split("[eE]", number)[1]) if "e" in number.lower() else 0) > 30:
        raise ExpressionError("the number is too long or its exponent too big", at)
    if re.match(r",[0-9]", text[end : end + 2]):
        # max(2,5) is two values to one reader and one to the next.
        raise ExpressionError("write the decimal sign as a point; a comma between values is followed by a space", end)
    if text[end : end + 1] == ".":
        raise ExpressionError("a number has one decimal point, with digits after it", end)
    if re.match(rf"[{_UNIT_START}_]", text[end : end + 1]):
        raise ExpressionError(
            f'"{number}{text[end]}": put one space before a unit, or * between a number and a name', end
        )
    if text[end : end + 1] == " ":
        unit = _UNIT.match(text, end + 1)
        if unit and not re.match(r"(and|or)\b", unit.group()):
            made.append(_Token("number", number, at, unit.group(), end + 1))
            return unit.end()
    made.append(_Token("number", number, at))
    return end


class _Parser:
    def __init__(self, text: str, units: UnitList) -> None:
        self.text, self.units, self.index, self.depth = text, units, 0, 0
        self.tokens = _tokens(text)

    def whole(self) -> Expression:
        if not self.tokens:
            raise ExpressionError("an expression is missing here", len(self.text))
        tree = self.logic()
        if self.index < len(self.tokens):
            token = self.tokens[self.index]
            before = self.tokens[self.index - 1]
            if token.text == ")":
                raise ExpressionError('")" closes nothing', token.at)
            if before.kind != "sign" or before.text == ")" and (token.kind != "sign" or token.text == "("):
                raise ExpressionError(f'an operator is missing before "{token.text}"', token.at)
            raise ExpressionError(f'"{token.text}" is not expected here', token.at)
        return tree

    def peek(self) -> str:
        return self.tokens[self.index].text if self.index < len(self.tokens) else ""

    def at(self) -> int:
        return self.tokens[self.index].at if self.index < len(self.tokens) else len(self.text)

    def deeper(self) -> None:
        self.depth += 1
        if self.depth > MAX_DEPTH:
            raise ExpressionError(f"brackets and signs nest more than {MAX_DEPTH} deep", self.at())

    def logic(self) -> Expression:
        return self._joined("or", lambda: self._joined("and", self.relation))

    def _joined(self, word: str, part: Callable[[], Expression]) -> Expression:
        at = self.at()
        parts = [part()]
        while self.peek() == word:
            self.index += 1
            parts.append(part())
        if len(parts) == 1:
            return parts[0]
        for one in parts:
            if not isinstance(one, Chain | Logic):
                raise ExpressionError(f'"{word}" joins comparisons, not values', one.at)
        return Logic(word, tuple(parts), at)

    def relation(self) -> Expression:
        at = self.at()
        terms, signs = [self.sum()], []
        while self.peek() in ("<", "<=", ">", ">=", "="):
            signs.append(self.peek())
            self.index += 1
            terms.append(self.sum())
        if not signs:
            return terms[0]
        if any(isinstance(term, Chain | Logic) for term in terms):
            raise ExpressionError("a comparison cannot be compared again", at)
        directions = {"<": 1, "<=": 1, ">": -1, ">=": -1, "=": 0}
        if len({directions[s] for s in signs}) > 1 or (len(signs) > 1 and "=" in signs):
            raise ExpressionError("a chain of comparisons runs one way, like 10 % <= d <= 85 %", at)
        return Chain(tuple(terms), tuple(signs), at)

    def sum(self) -> Expression:
        tree = self.product()
        while self.peek() in ("+", "-"):
            op, at = self.peek(), self.at()
            self.index += 1
            tree = Binary(op, tree, self.product(), at)
        return tree

    def product(self) -> Expression:
        tree = self.sign()
        while self.peek() in ("*", "/"):
            op, at = self.peek(), self.at()
            self.index += 1
            tree = Binary(op, tree, self.sign(), at)
        return tree

    def sign(self) -> Expression:
        at = self.at()
        if self.peek() == "-":
            self.deeper()
            self.index += 1
            tree: Expression = Negative(self.sign(), at)
            self.depth -= 1
            return tree
        return self.power()

    def power(self) -> Expression:
        base = self.atom()
        if self.peek() != "^":
            return base
        at = self.at()
        self.index += 1
        bracketed = self.peek() == "("
        self.deeper()
        exponent = self.sign()
        self.depth -= 1
        if not bracketed and _is_power(exponent):
            raise ExpressionError("put brackets around one of the two powers", at)
        value = _constant_value(exponent)
        if value is not None and abs(value) > MAX_POWER:
            raise ExpressionError(f"a power is at most {MAX_POWER} here", at)
        return Binary("^", base, exponent, at)

    def atom(self) -> Expression:
        if self.index >= len(self.tokens):
            raise ExpressionError("the expression stops too early", len(self.text))
        token = self.tokens[self.index]
        self.index += 1
        if token.kind == "number":
            return self._value(token)
        if token.kind == "name":
            return self._word(token)
        if token.text != "(":
            raise ExpressionError(f'"{token.text}" is not expected here', token.at)
        self.deeper()
        tree = self.logic()
        if self.peek() != ")":
            raise ExpressionError("this bracket is not closed", token.at)
        self.index += 1
        self.depth -= 1
        return tree

    def _value(self, token: _Token) -> Expression:
        value = float(token.text)
        if not token.unit:
            return Number(value, token.text, token.at)
        try:
            unit = read_unit(token.unit, self.units)
        except UnitError as error:
            glued = self._unit_before(token.unit, error.at)
            if error.near:
                hint = f". Did you mean {error.near}?"
            elif glued:
                hint = f': if "{glued}" is the unit, put spaces around the operator after it'
            elif "/" in token.unit:
                hint = ""
            else:
                hint = ": between a number and a name stands *"
            raise ExpressionError(f"{error}{hint}", token.unit_at + error.at) from None
        return Measure(value, token.text, unit, token.at)

    def _unit_before(self, text: str, at: int) -> str:
        """What stands before the operator at which the unit text stops being a unit, or ""."""
        tried = [re.sub("[*/·.]+$", "", text[:at]), re.split("[*/·]", text)[0]]
        if text[at : at + 1] in ("*", "/", "·"):
            tried.insert(0, text[:at])
        for before in tried:
            if len(before) < len(text) and re.match("[*/·]", text[len(before) :]):
                try:
                    return read_unit(before, self.units).text
                except UnitError:
                    continue
        return ""

    def _word(self, token: _Token) -> Expression:
        if token.text in CONSTANTS:
            return Constant(token.text, token.at)
        if token.text in FUNCTIONS:
            return self._call(token)
        if token.text in WORDS:
            raise ExpressionError(f'"{token.text}" is not expected here', token.at)
        if self.peek() == "(":
            raise ExpressionError(f'"{token.text}" is no function; functions are {", ".join(FUNCTIONS)}', token.at)
        return Name(token.text, token.at)

    def _call(self, token: _Token) -> Expression:
        if self.peek() != "(":
            raise ExpressionError(f"brackets are missing: write {token.text}( )", token.at)
        self.deeper()
        self.index += 1
        arguments = [self.logic()]
        while self.peek() == ",":
            self.index += 1
            arguments.append(self.logic())
        if self.peek() != ")":
            raise ExpressionError(f"the bracket of {token.text}( is not closed", token.at)
        self.index += 1
        self.depth -= 1
        wanted = FUNCTIONS[token.text]
        if wanted and len(arguments) != wanted or not wanted and len(arguments) < 2:
            count = "one value" if wanted else "two or more values"
            raise ExpressionError(f"{token.text}( ) takes {count}", token.at)
        if any(isinstance(a, Chain | Logic) for a in arguments):
            raise ExpressionError(f"{token.text}( ) takes values, not comparisons", token.at)
        return Call(token.text, tuple(arguments), token.at)


def _is_power(tree: Expression) -> bool:
    return isinstance(tree, Binary) and tree.op == "^" or isinstance(tree, Negative) and _is_power(tree.of)


def _constant_value(tree: Expression) -> float | None:
    """Value of an exponent without names; inf where it has none or is too big to say."""
    if names(tree):
        return None
    try:
        return scalar(tree, {})
    except (ArithmeticError, ValueError):
        return math.inf
