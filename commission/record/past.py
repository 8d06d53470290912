"""Past work that is written up now: what is recorded meanwhile was done at an earlier moment."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.record.done_at import OLDEST_S, is_deed, refuse_out_of_order, saying_so, wall_mark

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.base.clock import ClockMark
    from commission.base.quantity import Phrase
    from commission.record.build_state import StageRun
    from commission.record.payload import Payload
    from commission.record.record import Record


class Past:
    """The moment at which what is recorded now was done.

    Parameters
    ----------
    book
        The record.
    """

    def __init__(self, book: Record) -> None:
        self._book = book
        self._begins = False
        self.at_ms: int | None = None
        """When what is recorded now was done, where that is written up later [ms since 1970 UTC]; None: now."""

    @contextmanager
    def written_up(self, at_ms: int, *, begins: bool = False) -> Iterator[None]:
        """Take what is recorded meanwhile as done at an earlier moment, and written down now.

        Parameters
        ----------
        at_ms
            When it was done [ms since 1970 UTC].
        begins
            Whether it begins work, which may then be older than the record of the build.

        Raises
        ------
        NotAllowed
            If it lies after now or more than a year ago; while it lasts, if it lies before what was done last.
        """
        now_ms = self._book.clock.now().wall_ms
        if at_ms > now_ms:
            raise NotAllowed("that time lies after now; correct it, or leave it out")
        if at_ms < now_ms - 1000 * OLDEST_S:
            raise NotAllowed("that time lies more than a year ago; correct it")
        self.at_ms, self._begins = at_ms, begins
        try:
            yield
        finally:
            self.at_ms, self._begins = None, False

    def moment(self) -> ClockMark:
        """Return the clocks at which what is recorded now was done: now, or an earlier moment."""
        now = self._book.clock.now()
        return now if self.at_ms is None else wall_mark(self.at_ms, now.offset_min)

    def done_ms(self, build_id: str, payload: Payload) -> int | None:
        """Return when what is written up was done [ms since 1970 UTC]; None where it is done now, or only described.

        Raises
        ------
        NotAllowed
            If that lies before what was done last.
        """
        book = self._book
        if self.at_ms is None or not is_deed(book.registry, payload):
            return None
        entries, gone = book.entries(build_id), book.build(build_id).withdrawn
        refuse_out_of_order(book.registry, entries, gone, self.at_ms, begins=self._begins)
        return self.at_ms

    def saying_so(self, reasons: tuple[Phrase, ...], run: StageRun) -> tuple[Phrase, ...]:
        """Return the reasons of a verdict on an attempt; they say so where any of it was written up later."""
        return saying_so(reasons) if run.written_up or self.at_ms is not None else reasons
