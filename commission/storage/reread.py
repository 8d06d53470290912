"""Whether the text of a streamed reading says what the values stored beside it say."""

from collections.abc import Callable, Sequence

from commission.record.face import RowValues
from commission.record.series_entries import SeriesHeaded
from commission.storage.samples import Row

Reread = Callable[[str, str], RowValues | None]
"""Reads the text of a row again under a header row; None where it cannot be read."""


def says_otherwise(row: Row, header: str, reread: Reread) -> bool:
    """Return whether the text of a row says otherwise than its values; a time that it does not name is not compared."""
    values = reread(header, row[5])
    if values is None:
        return True
    elapsed, at_ms, *read = values
    return (
        read != list(row[2:5]) or (elapsed is not None and elapsed != row[0]) or (at_ms is not None and at_ms != row[1])
    )


def false_rows(
    headed: Sequence[tuple[int, SeriesHeaded]], first: int, rows: Sequence[Row], reread: Reread
) -> list[int]:
    """Return the numbers of the rows whose text says otherwise than their values.

    Rows whose columns were never named, as a version before wrote them, are left out.
    """
    found = []
    for number, row in enumerate(rows, first):
        header = next((heading.header for _, heading in reversed(headed) if heading.first <= number), "")
        if header and says_otherwise(row, header, reread):
            found.append(number)
    return found
