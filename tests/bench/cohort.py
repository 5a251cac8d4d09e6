"""The report on 2,000 learners' progress slips of 300 answers each, half of them files, half texts."""

from __future__ import annotations

import contextlib
import io
import json
import tempfile
from pathlib import Path

from quizgen import cli
from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.cohort.slip_message import slip_text
from quizgen.variants.compile import compile_bank
from quizgen.variants.slip_names import practised, salts
from tests.bench.row import Row, seconds
from tests.cohort.slips import as_file, learner

ROOT = Path(__file__).parents[2]
LEARNERS, LIMIT = 2000, 20


def rows() -> list[Row]:
    bank = load_bank(ROOT / "course")
    names = practised(bank, compile_bank(bank, Cache(ROOT / ".cache" / "quizgen"))[0])
    apart = salts(names)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "handed-in"
        folder.mkdir()
        answers = 0
        for n in range(LEARNERS):
            code = f"B-{n:04}"
            slip = learner(names, n, share=0.2, code=code)
            answers += sum(one.tries for one in slip.results.values())
            if n % 2:
                (folder / f"{code}.json").write_text(json.dumps(as_file(slip, bank.course.id)), encoding="utf-8")
            else:
                (folder / f"{code}.txt").write_text(slip_text(bank.course.id, slip, names, apart), encoding="utf-8")
        words = ["progress", str(folder), "--html", str(Path(name) / "report.html"), "--course", str(ROOT / "course")]
        took = seconds(lambda: _report(words))
        memory = _peak(words)
    return [
        Row(f"report on {LEARNERS} learners ÷ {LIMIT} s", took / LIMIT, 1.0,
            f"{took:.1f} s, {answers / LEARNERS:.0f} answers each; {memory:.0f} MB at most"),
    ]  # fmt: skip


def _report(words: list[str]) -> None:
    told = io.StringIO()
    with contextlib.redirect_stdout(told):
        code = cli.main(words)
    if code or f"{LEARNERS} learners with a slip" not in told.getvalue():
        raise RuntimeError(f"not every slip was read: {told.getvalue()[-300:]}")


def _peak(words: list[str]) -> float:
    """Megabytes of a run of its own, by the system's count."""
    import subprocess
    import sys

    program = (
        "import resource, sys; from quizgen.cli import main; main(sys.argv[1:]); "
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", program, *words], cwd=ROOT, capture_output=True, check=True)
    return float(done.stderr.decode().split()[-1])
