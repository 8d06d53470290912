"""Everything that can go wrong for a reason a person can mend: each stands on ``CommissionError`` alone.

Every message is one line that says what was understood, what is wrong and what to do.
"""

from collections.abc import Iterator
from contextlib import contextmanager


class CommissionError(Exception):
    """Base of everything that is shown to a person as one line and ends a command with exit status 2."""


class InputError(CommissionError):
    """Text that cannot be understood; nothing was stored.

    ``asks``: whether it has two meanings, so that the message is a question and a typed unit answers it.
    """

    def __init__(self, message: str, *, asks: bool = False) -> None:
        super().__init__(message)
        self.asks = asks


class FileError(CommissionError):
    """A file that cannot be read, with the line and the field where they are known."""

    def __init__(self, message: str, *, line: int | None = None, field: str | None = None) -> None:
        where = [f"line {line}"] if line is not None else []
        where += [f'field "{field}"'] if field is not None else []
        super().__init__(f"{', '.join(where)}: {message}" if where else message)
        self.line = line
        self.field = field


class NotAllowed(CommissionError):
    """The order of the stages or a safety rule forbids it."""


class UnknownName(CommissionError):
    """No build, part, instrument or entry of that name."""


class LogbookError(CommissionError):
    """The record cannot be used as asked, for a reason that has no class of its own."""


class NotALogbook(CommissionError):
    """The file is something else; it was not touched."""


class ReadOnly(CommissionError):
    """The record can be read but not written, and the message says who holds it or why.

    ``held``: whether another window writes, so that it can be written once that one is gone.
    """

    def __init__(self, message: str, *, held: bool = False) -> None:
        super().__init__(message)
        self.held = held


class NotConfirmed(CommissionError):
    """The disk reported an error while an entry was stored: it may or may not be there."""


class Damaged(CommissionError):
    """The record does not agree with its own chain, guards or digests."""


@contextmanager
def in_words() -> Iterator[None]:
    """Turn a refusal of physics or of a judge into one that a person is shown."""
    try:
        yield
    except ValueError as error:
        raise InputError(str(error)) from None


@contextmanager
def on_line(line: int, field: str | None = None) -> Iterator[None]:
    """Say of a refusal which line of a file it is about, and which field."""
    try:
        yield
    except CommissionError as error:
        raise FileError(str(error), line=line, field=field) from error


def refuse_longer(text: str, most: int, what: str = "that has") -> None:
    """Raise InputError where a text has more characters than are kept; ``what`` begins the sentence."""
    if len(text) > most:
        raise InputError(f"{what} {len(text)} characters; {most} are the most")
