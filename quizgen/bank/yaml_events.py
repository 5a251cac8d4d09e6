"""What PyYAML's parser tells of a text, event by event; nothing of it is built or expanded here."""

from dataclasses import dataclass
from typing import Any, TypeAlias

import yaml

from quizgen.bank.yaml_limits import DEEPEST

Event: TypeAlias = Any  # PyYAML's, and its marks too: the type stubs leave them open


@dataclass(frozen=True, slots=True)
class Run:
    """What the parser told of a text, up to its end, its first error or the first thing refused."""

    events: list[Event]
    error: yaml.MarkedYAMLError | None


@dataclass(frozen=True, slots=True)
class Mark:
    """Line and column counted from 0, as PyYAML's marks have them."""

    line: int
    column: int


def parse(text: str, loader_class: Any) -> Run:
    """The events of a text, as far as they are of use."""
    events: list[Event] = []
    depth = documents = 0
    loader = loader_class(text)
    try:
        # what lies too deep or in a second document is refused, so nothing of it is parsed
        while depth <= DEEPEST and documents < 2 and loader.check_event():
            event = loader.get_event()
            events.append(event)
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            documents += isinstance(event, yaml.DocumentStartEvent)
    except yaml.MarkedYAMLError as error:
        return Run(events, error)
    except (ValueError, OverflowError):  # the loader in Python on an escape like "\UFFFFFFFF"
        mark = loader.get_mark()
        return Run(events, yaml.MarkedYAMLError("while scanning a quoted scalar", mark, "escape", mark))
    finally:
        loader.dispose()
    return Run(events, None)


def scalars(run: Run) -> list[Event]:
    return [event for event in run.events if isinstance(event, yaml.ScalarEvent)]


_STYLES = {"'": "quoted", '"': "quoted", ">": "folded", "|": "literal"}


def style_of(event: Event) -> str:
    return _STYLES.get(event.style, "plain")


def told_until(run: Run, text: str) -> int:
    """Index up to which it is known what is text, what is quoted and what is a comment."""
    if run.error is None:
        last = run.events[-1]
        return len(text) if isinstance(last, yaml.StreamEndEvent) else int(last.end_mark.index)
    mark: Any = run.error.context_mark if "quoted" in (run.error.context or "") else None
    return int(mark.index) if mark else line_end(text, run.error.problem_mark)


def line_end(text: str, mark: Any) -> int:
    end = text.find("\n", mark.index)
    return len(text) if end < 0 else end
