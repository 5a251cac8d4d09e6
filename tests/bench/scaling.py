"""Time per question for 100, 1,000 and 10,000 generated questions: load, compile cold, load the cache again."""

from __future__ import annotations

import statistics
import tempfile
from pathlib import Path

from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.variants.compile import compile_bank
from tests.bench.row import Row, seconds

SIZES = (100, 1_000, 10_000)
PER_FILE = 100
PUMP = Path(__file__).parents[1] / "courses" / "pump" / "bank" / "course.yml"

QUESTION = """\
  fill-{n}:
    module: flow
    outcome: pump-time
    text: >
      Pump number {n} moves (Q_v) into an empty tank of (V_t).
    given:
      Q_v: from 8 L/min to 40 L/min by 0.5 L/min
      V_t: from 150 L to 900 L by 10 L
    find: t_f
    by: filling-time
    ask: How long does it take to fill?
    answer: 3 figures in min
"""


def rows() -> list[Row]:
    # Nothing is deleted before the end: where files were deleted just before, making new ones takes far longer.
    with tempfile.TemporaryDirectory() as name:
        _per_question(SIZES[0], Path(name) / "first")
        # The largest takes minutes by itself; the others lie around it, so that a slow hour is one for all.
        found: list[list[tuple[float, float]]] = [[], [], []]
        for at in (0, 1, 0, 1, 2, 1, 0, 1, 0):
            found[at].append(_per_question(SIZES[at], Path(name) / f"{SIZES[at]}-{len(found[at])}"))
    cold, warm = ([statistics.median(times[kind] for times in one) for one in found] for kind in (0, 1))
    made = []
    for name, times in (("cold", cold), ("warm", warm)):
        worst = max(times[1] / times[0], times[2] / times[1])
        detail = " → ".join(f"{time * 1e3:.2f}" for time in times) + " ms a question"
        made.append(Row(f"per question, {name}, 100 → 1,000 → 10,000, worst tenfold", worst, 1.15, detail))
    return made


def _per_question(size: int, place: Path) -> tuple[float, float]:
    """Seconds a question, cold and warm; small sizes are repeated so that all take about as long."""
    repeats = max(1, SIZES[1] // size)
    cold = warm = 0.0
    for n in range(repeats):
        folder, store = place / f"course-{n}", Cache(place / f"cache-{n}")
        _generate(folder, size)
        cold += seconds(lambda f=folder, s=store: compile_bank(load_bank(f), s))  # type: ignore[misc]
        warm += seconds(lambda f=folder, s=store: compile_bank(load_bank(f), s))  # type: ignore[misc]
    return cold / repeats / size, warm / repeats / size


def _generate(folder: Path, size: int) -> None:
    bank = folder / "bank"
    bank.mkdir(parents=True)
    text = PUMP.read_text(encoding="utf-8")
    (bank / "course.yml").write_text(text[: text.index("\nquestions:")] + "\n", encoding="utf-8")
    for start in range(0, size, PER_FILE):
        numbers = range(start, min(start + PER_FILE, size))
        content = "questions:\n" + "".join(QUESTION.format(n=n) for n in numbers)
        (bank / f"questions-{start:06d}.yml").write_text(content, encoding="utf-8")
