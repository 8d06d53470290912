"""Withdrawing a row that was fed to a running hold, as ``undo`` withdraws a typed reading."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.stages.pressure_hold.entries import RowWithdrawn
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.state.rows_gone import refuse_row

if TYPE_CHECKING:
    from commission.record.logged import Logged
    from commission.record.record import Record


class FedRows:
    """The use cases of rows that stand in a running hold.

    Parameters
    ----------
    book
        The record.
    """

    def __init__(self, book: Record) -> None:
        self.book = book

    def withdraw(self, build_id: str, number: int, reason: str) -> Logged:
        """Withdraw a row of the running hold; it stays in the series and no longer counts.

        Parameters
        ----------
        number
            Its place in the series, from 1.

        Raises
        ------
        NotAllowed
            If no hold runs, there is no such row, it cannot be withdrawn, or no reason is given.
        """
        hold = hold_of(self.book.build(build_id))
        refuse_row(hold, number)
        fed = len(self.book.log.samples(hold.series).elapsed_s)
        if number > fed:
            raise NotAllowed(f"there is no row {number}; the hold has {fed}, counted as they were stored")
        if not reason.strip():
            raise NotAllowed("a withdrawal needs a reason; type why the row is wrong")
        return self.book.record(build_id, RowWithdrawn(attempt=hold.attempt, number=number, reason=reason.strip()))
