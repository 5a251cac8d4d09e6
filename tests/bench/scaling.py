"""Time per question for 100, 1,000 and 10,000 generated questions: load, compile cold, load the cache again."""

from __future__ import annotations

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
    _per_question(SIZES[0])
    cold, warm = zip(*(_per_question(size) for size in SIZES), strict=True)
    made = []
    for name, times in (("cold", cold), ("warm", warm)):
        worst = max(times[1] / times[0], times[2] / times[1])
        detail = " → ".join(f"{time * 1e3:.2f}" for time in times) + " ms a question"
        made.append(Row(f"per question, {name}, 100 → 1,000 → 10,000, worst tenfold", worst, 1.15, detail))
    return made


def _per_question(size: int) -> tuple[float, float]:
    """Seconds a question, cold and warm; small sizes are repeated so that all take about as long."""
    repeats = max(1, SIZES[1] // size)
    cold = warm = 0.0
    for _ in range(repeats):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name) / "course"
            _generate(folder, size)
            store = Cache(Path(name) / "cache")
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
