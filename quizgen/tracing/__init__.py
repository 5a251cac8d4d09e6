"""Fault tracing: a computed chain with faults in it, its readings, and the proven best order of tests.

What other rooms use:

- `read_tracing(bank)` gives a `Tracing` (or None) and the faults of its files;
- `compile_tracing(tracing, cache)` gives `{"cases": {id: case}, "inseparable": [[fault, fault]], "healthy": {test:
  readings}}` as plain data, and faults. A case holds what a page needs: `suspects`, `tests` with `readings`
  (`outcomes`, and for each suspect which it `shows`), `known`, `isolate`, `energise`, `boxes`, `minutes`, `worst`,
  `path`, and `values`: for each reachable state its best expected minutes and a best action. A state's key is its
  suspects as a number over the case's own list, then `d` where the chain is isolated and proved dead, then the
  opened boxes as a number, if any;
- `whole.whole_chain(tracing, cache)` solves the chain with every fault a suspect; `modes.in_mode` gives the chain in
  another mode, for its table of readings;
- `regret(case, state, action)` tells what a decision costs above the best one, from that data alone.

Nothing here rewards skipping the isolation: a dead test before it, or a charge attempt or drive while a suspect
forbids it (`data.ACTS`), has no regret but `unsafe`, which ends the exercise.
"""

from quizgen.tracing.compile import Compiled, compile_tracing, readings, workshop
from quizgen.tracing.data import Tracing
from quizgen.tracing.play import Standing, after, done, regret, start, unsafe
from quizgen.tracing.read import read_tracing

__all__ = [
    "Compiled", "Standing", "Tracing", "after", "compile_tracing", "done", "read_tracing", "readings", "regret",
    "start", "unsafe", "workshop",
]  # fmt: skip
