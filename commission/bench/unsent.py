"""What was typed and is no entry yet: the answers of a form that is not stored, and the lines that were not entered.

It is no record: nothing counts with it, and where it is lost only typing is lost.
"""

import json
from collections.abc import Mapping

from commission.base.frozen import Frozen
from commission.bench.only_this import Old

MOST = 100
"""Answers of one form and lines of one screen that are kept; our choice: far more than any form asks."""

Where = tuple[str, str]
"""Name of a screen, and id of its build or an empty text."""


class Answer(Frozen):
    """One answer of a form, with the question that it answered."""

    key: str
    """Which question."""
    ask: str
    """How it was asked."""
    text: str
    """What was typed, or taken by Enter."""


class Unsent(Frozen):
    """What a screen holds that is no entry yet."""

    answers: tuple[Answer, ...] = ()
    """Answers of a half-filled form, in order."""
    lines: tuple[str, ...] = ()
    """What stands in the line, and what waits behind it."""
    refused: tuple[str, ...] = ()
    """Beginnings of the first line that were refused; the shortest first."""

    @property
    def old(self) -> tuple[Old, ...]:
        """What of the first line was refused, as the line takes it."""
        return tuple(Old(text=text) for text in self.refused)

    def __bool__(self) -> bool:
        """Whether there is anything."""
        return bool(self.answers or self.lines)


def unsent_text(kept: Mapping[Where, Unsent]) -> str:
    """Return all of it as text; an empty one where there is nothing."""
    rows = [
        {
            "screen": screen,
            "build": build,
            "answers": [[one.key, one.ask, one.text] for one in unsent.answers[:MOST]],
            "lines": list(unsent.lines[:MOST]),
            **({"refused": list(unsent.refused[:MOST])} if unsent.refused else {}),
        }
        for (screen, build), unsent in kept.items()
        if unsent
    ]
    return json.dumps(rows, ensure_ascii=False) if rows else ""


def read_unsent(text: str) -> dict[Where, Unsent]:
    """Return what a text holds; nothing where it is no such text.

    >>> read_unsent("[1") == read_unsent("") == read_unsent('[{"screen": 3}]') == {}
    True
    """
    try:
        rows = json.loads(text)
        found = {
            (str(row["screen"]), str(row["build"])): Unsent(
                answers=tuple(Answer(key=str(k), ask=str(a), text=str(t)) for k, a, t in row["answers"][:MOST]),
                lines=tuple(str(line) for line in row["lines"][:MOST]),
                refused=tuple(str(text) for text in row.get("refused", ())[:MOST]),
            )
            for row in rows
        }
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return {}
    return {where: unsent for where, unsent in found.items() if unsent}
