"""Pausing Python's cycle collector while a large bank is read.

The collector walks over everything made so far again and again, so that time per question would
grow with the bank. Nothing made here holds cycles; plain reference counting frees all of it.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def paused_collector() -> Iterator[None]:
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()
