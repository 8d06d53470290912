"""A deed that is done from a command line: the same as behind a line of the screen."""

from commission.bench.deed import Deed
from commission.record.logbook import Logbook
from commission.shell.console import say


def store(book: Logbook, deed: Deed, *, first: str = "", more: str = "") -> None:
    """Do a deed and say which entry it stored last.

    Parameters
    ----------
    book
        The logbook that the deed is done in.
    deed
        What is done.
    first
        A line to say before that.
    more
        What stands behind the number of the entry.
    """
    deed.do()
    if first:
        say(first)
    say(f"stored: entry {book.head().seq}{more}")
