"""Who signs, and when: the passphrase from the environment or the keyboard, and the clock."""

from __future__ import annotations

import getpass
import os
from datetime import UTC, datetime

from quizgen.records.ledger import RegisterError

PASSPHRASE, NEW_PASSPHRASE = "QUIZGEN_PASSPHRASE", "QUIZGEN_NEW_PASSPHRASE"


def now() -> datetime:
    """The moment of this run; tests put another one here."""
    return datetime.now(UTC)


def passphrase(variable: str = PASSPHRASE, words: str = "Passphrase: ", twice: bool = False) -> str:
    """From the environment, or asked for. Raises RegisterError where nobody can be asked."""
    if given := os.environ.get(variable):
        return given
    try:
        typed = getpass.getpass(words)
        if twice and getpass.getpass("The same again: ") != typed:
            raise RegisterError("the two differ: start again")
    except (EOFError, KeyboardInterrupt):
        raise RegisterError(f"no passphrase: type it, or put it into {variable}") from None
    return typed
