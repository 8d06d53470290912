"""Everything that can go wrong for a reason a person can mend.

::

    CommissionError
    ├── InputError           typed or imported text that cannot be understood; nothing was stored
    │   ├── UnitError        a number or a unit is wrong, missing or ambiguous
    │   └── FileError        a file, with the line and the field
    ├── NotAllowed           the order of the stages or a safety rule forbids it
    ├── UnknownName          no build, part, instrument or entry of that name
    └── LogbookError         the record itself
        ├── NotALogbook      the file is something else; it was not touched
        ├── ReadOnly         another window writes, the file is newer than the program, or permissions
        ├── NotConfirmed     the disk reported an error: look whether the entry is there before typing it again
        └── Damaged          the record does not agree with its own chain, guards or digests

Every message is one line that says what was understood, what is wrong and what to do.
"""


class CommissionError(Exception):
    """Base of everything that is shown to a person as one line and ends a command with exit status 2."""


class InputError(CommissionError):
    """Text that cannot be understood; nothing was stored."""


class UnitError(InputError):
    """A number or a unit that is wrong, missing or ambiguous."""


class FileError(InputError):
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
    """The record cannot be used as asked."""


class NotALogbook(LogbookError):
    """The file is something else; it was not touched."""


class ReadOnly(LogbookError):
    """The record can be read but not written, and the message says who holds it or why."""


class NotConfirmed(LogbookError):
    """The disk reported an error while an entry was stored: it may or may not be there."""


class Damaged(LogbookError):
    """The record does not agree with its own chain, guards or digests."""
