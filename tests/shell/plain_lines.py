"""Works at the bench line by line, and keeps what was told."""

from collections.abc import Sequence

from commission.__main__ import job
from commission.bench.unsent_kept import KeptUnsent
from commission.record.logbook import Logbook
from commission.record.machine.board_sensors import BoardReading
from commission.shell.plain.session import Session
from tests.fakes import HandClock

WAIT = "(five minutes)"
"""Stands in a script where the clock is wound."""


class Kept:
    """Keeps a text, as the file beside a logbook does."""

    text = ""

    def load(self) -> str:
        return self.text

    def save(self, text: str) -> None:
        self.text = text


def no_board() -> BoardReading:
    raise AssertionError("nothing is read live here")


def lines_of(
    book: Logbook, typed_lines: Sequence[str], clock: HandClock, *, kept: Kept | None = None, build: str = ""
) -> tuple[list[str], Session]:
    """Work line by line, and return what was told."""
    told: list[str] = []
    session = Session(book, job().stages(), told.append, kept=KeptUnsent(kept), board=no_board)
    if build:
        session.open(build)
    session.ask()
    for line in typed_lines:
        if line == WAIT:
            clock.run(300)
            continue
        session.take(line)
        session.ask()
    session.close()
    return told, session
