"""A second process that fills the cache while the first one works, where the machine has a second core for it.

Nothing is handed over but what the cache keeps: the second process begins at the other end, and the two
meet. Whatever happens to it, the first one makes what it does not find.
"""

from __future__ import annotations

import contextlib
import os
import signal
import threading
from collections.abc import Callable, Iterable
from typing import Any

WORTH = 40
"""So many questions have to be compiled before a second process pays."""


def cores() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 1


class Ahead:
    """Runs jobs in a second process. Without a second core, or beside other threads, it does nothing."""

    def __init__(self) -> None:
        self.process = 0

    def start(self, jobs: Iterable[Callable[[], Any]]) -> None:
        if self.process or not hasattr(os, "fork") or cores() < 2 or threading.active_count() > 1:
            return
        self.process = os.fork()
        if self.process:
            return
        try:
            silent = os.open(os.devnull, os.O_WRONLY)
            os.dup2(silent, 1)
            os.dup2(silent, 2)
            for job in jobs:
                job()
        except BaseException:  # the first process meets the same fault and tells it
            pass
        finally:
            os._exit(0)

    def wait(self) -> None:
        """Until it is done: what it has begun is not begun twice."""
        if self.process:
            with contextlib.suppress(ChildProcessError):
                os.waitpid(self.process, 0)
            self.process = 0

    def end(self) -> None:
        """Stop it if it still runs."""
        if self.process:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.process, signal.SIGTERM)
            with contextlib.suppress(ChildProcessError):
                os.waitpid(self.process, 0)
            self.process = 0
