"""Which numbers a question may show, and in which order they are tried.

A combination is one value for each given. Small questions are tried completely in a mixed order,
large ones by drawing. A hash of question id and printed numbers says whether a combination is for
practice or for papers, so the two never share one.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quizgen.bank.models import Given, Question
from quizgen.variants.mixer import below, key_of, mixed_array, mixed_rows

BATCH = 200
MAX_DRAWS = 4000
COMPLETE = 4000
"""Up to so many combinations are tried one by one instead of drawn."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A batch: for each given an array of indexes into its values; all arrays of one length."""

    indexes: dict[str, Any]
    size: int


def count_of(given: Given) -> int:
    return len(given.choices) if given.choices else given.count


def combinations(question: Question) -> int:
    return math.prod(count_of(given) for given in question.givens)


def is_finite(question: Question) -> bool:
    """True where all values are listed, so that the question ships all it has."""
    return not any(given.is_range for given in question.givens)


def printer(given: Given) -> Callable[[int], str]:
    """What prints a given's numbers by their index, as "11.0": whole numbers and a point, exact and fast."""
    if given.choices:
        return given.choices.__getitem__
    decimals = max(-int(given.start.as_tuple().exponent), -int(given.step.as_tuple().exponent), 0)
    first, step = (int(number.scaleb(decimals)) for number in (given.start, given.step))

    def text(index: int) -> str:
        whole = first + index * step
        figures = str(abs(whole)).rjust(decimals + 1, "0")
        sign = "-" if whole < 0 else ""
        return f"{sign}{figures[:-decimals]}.{figures[-decimals:]}" if decimals else sign + figures

    return text


def printed(given: Given, index: int) -> str:
    """The number as it is printed: "11.0"."""
    return printer(given)(index)


def si_values(given: Given, indexes: Any) -> Any:
    """SI values of the printed numbers, exactly as a reader of the print would take them.

    Word givens give an array of texts.
    """
    import numpy as np

    factor = float(given.unit.factor)
    if given.choices:
        try:
            values = np.array([float(text) for text in given.choices])
        except ValueError:
            return np.array(given.choices, dtype=object)[indexes]
        return values[indexes] * factor
    decimals = max(-int(given.start.as_tuple().exponent), 0)
    scale = Decimal(10) ** decimals
    first, step = int(given.start * scale), int(given.step * scale)
    # Whole numbers divided by a power of ten give the float nearest to the printed text.
    return (first + step * indexes.astype(np.int64)) / float(scale) * factor


def batches(course: str, question: Question, size: int = BATCH) -> Iterator[Drawn]:
    """Batches of combinations in a fixed mixed order, each combination at most once."""
    import numpy as np

    key = key_of(course, question.id)
    counts = [count_of(given) for given in question.givens]
    total = math.prod(counts)
    if total <= COMPLETE:
        # Every step of the mixer can be undone, so no two of its numbers are equal and any way of sorting will do.
        words = mixed_array(key, 0, total)
        # Most questions need one batch only, and finding the smallest is cheaper than sorting all.
        least = np.argpartition(words, size)[:size] if total > size else np.arange(total)
        yield _unpacked(question, least[np.argsort(words[least])], counts)
        order = np.argsort(words) if total > size else least
        for start in range(size, total, size):
            yield _unpacked(question, order[start : start + size], counts)
        return
    seen: set[int] = set()
    keys = [key ^ key_of(given.id) for given in question.givens]
    limits = np.array(counts)[:, None]
    for start in range(0, MAX_DRAWS, size):
        columns = list(below(mixed_rows(keys, start, size), limits).astype(np.int64))
        ranks = _ranks(columns, counts)
        fresh = set(ranks)
        if len(fresh) == size and seen.isdisjoint(fresh):
            kept = size
        else:
            rows = [row for row, rank in enumerate(ranks) if not (rank in seen or seen.add(rank))]  # type: ignore[func-returns-value]
            columns = [column[rows] for column in columns]
            kept = len(rows)
        named = {given.id: column for given, column in zip(question.givens, columns, strict=True)}
        yield Drawn(named, kept)
        seen |= fresh  # after the batch is asked for: most questions need one batch only


def _ranks(columns: list[Any], counts: list[int]) -> list[int]:
    """The number of each row's combination among all, exact however many there are."""
    if math.prod(counts) < 2**62:
        rank = columns[0]
        for column, count in zip(columns[1:], counts[1:], strict=True):
            rank = rank * count + column
        return rank.tolist()  # type: ignore[no-any-return]
    ranks = columns[0].tolist()
    for column, count in zip(columns[1:], counts[1:], strict=True):
        ranks = [rank * count + at for rank, at in zip(ranks, column.tolist(), strict=True)]
    return ranks  # type: ignore[no-any-return]


def _unpacked(question: Question, chosen: Any, counts: list[int]) -> Drawn:
    indexes = {}
    rest = chosen
    for given, count in zip(question.givens, counts, strict=True):
        indexes[given.id] = rest % count
        rest = rest // count
    return Drawn(indexes, len(chosen))


def for_papers(question_id: str, texts: tuple[str, ...]) -> bool:
    """Whether a combination of printed numbers belongs to the papers' half."""
    digest = hashlib.sha256("\x1f".join((question_id, *texts)).encode()).digest()
    return bool(digest[0] & 1)


def variant_name(texts: tuple[str, ...]) -> str:
    """The name of a variant: a hash of its printed numbers, so that it means the same for ever."""
    return hashlib.sha256("\x1f".join(texts).encode()).hexdigest()[:8]
