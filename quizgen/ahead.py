"""A second process that works on files while the first one goes on, where the machine has a second core for it.

Nothing is handed back but files, and how many jobs are done. Whatever happens to the second process, the first
one makes what it does not find.
"""

from __future__ import annotations

import contextlib
import gc
import os
import signal
import threading
from collections.abc import Callable, Iterable
from typing import Any


def cores() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 1


class Ahead:
    """Runs jobs in a second process. Without a second core, or beside other threads, it does nothing."""

    def __init__(self) -> None:
        self.process = 0
        self.heard = -1
        """The end of the pipe on which it sends a byte for each job that is done."""

    def start(self, jobs: Iterable[Callable[[], Any]]) -> bool:
        """Begin with the first job; whether there is a second process."""
        if self.process or not hasattr(os, "fork") or cores() < 2 or threading.active_count() > 1:
            return False
        self.heard, told = os.pipe()
        self.process = os.fork()
        if self.process:
            os.close(told)
            return True
        try:
            gc.disable()  # it does not live long enough to need one, and looking would copy the first one's memory
            os.close(self.heard)
            silent = os.open(os.devnull, os.O_WRONLY)
            os.dup2(silent, 1)
            os.dup2(silent, 2)
            for job in jobs:
                job()
                os.write(told, b".")
        except BaseException:  # the first process meets the same fault and tells it
            pass
        finally:
            os._exit(0)

    def wait(self, jobs: int) -> bool:
        """Until so many more jobs are done, or none will be: what it has begun is not begun twice. Whether they are."""
        while self.process and jobs > 0 and (done := os.read(self.heard, jobs)):
            jobs -= len(done)
        return jobs == 0

    def finish(self) -> None:
        """Wait for its end."""
        if self.process:
            with contextlib.suppress(ChildProcessError):
                os.waitpid(self.process, 0)
            os.close(self.heard)
            self.process = 0

    def end(self) -> None:
        """Stop it if it still runs."""
        if self.process:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.process, signal.SIGTERM)
            self.finish()
