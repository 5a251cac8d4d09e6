"""`python3 start.py bench`: every budget as a ratio, printed as a table or, with --json, as data."""

from __future__ import annotations

import argparse
import json
import platform
import sys

from tests.bench import building, cohort, drawing, marking, page, scaling, tracing
from tests.bench.row import Row

PARTS = (drawing, building, scaling, page, marking, cohort, tracing)


def main(words: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="bench", description=__doc__)
    parser.add_argument("--json", action="store_true", help="a list of {name, ratio, goal}")
    parser.add_argument("--only", metavar="PART", help="drawing, building, scaling, page, marking, cohort or tracing")
    args = parser.parse_args(words)
    rows: list[Row] = []
    for part in PARTS:
        if args.only in (None, part.__name__.rsplit(".", 1)[-1]):
            print(f"measuring {part.__name__.rsplit('.', 1)[-1]} …", file=sys.stderr, flush=True)
            rows += part.rows()
    if args.json:
        print(json.dumps([{"name": r.name, "ratio": round(r.ratio, 4), "goal": r.goal} for r in rows]))
    else:
        print(f"{platform.system()}, {platform.machine()}, Python {platform.python_version()}")
        for row in rows:
            verdict = "holds" if row.ratio <= row.goal else "MISSED"
            print(f"{row.name:58s} {row.ratio:8.3f}   goal {row.goal:6.2f}   {verdict}   {row.detail}")
    return 0 if all(row.ratio <= row.goal for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
