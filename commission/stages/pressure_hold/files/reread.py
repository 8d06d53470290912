"""Reading a stored row of a hold again, to compare its text with the values that are stored beside it."""

from functools import lru_cache

from commission.base.errors import FileError
from commission.stages.pressure_hold.files.header import read_header
from commission.stages.pressure_hold.files.rows import RowReader


@lru_cache(maxsize=16)
def _reader(header: str) -> RowReader | None:
    try:
        return RowReader(read_header(header, 1))
    except FileError:
        return None


def reread_hold(
    header: str, typed: str
) -> tuple[float | None, int | None, float | None, float | None, float | None] | None:
    """Return what a row says under a header row; None where either cannot be read.

    Returns
    -------
    tuple or None
        Elapsed [s], instant [ms since 1970 UTC], pressure [Pa], air [K], barometer [Pa]; None in the place of what the
        row does not say.

    Examples
    --------
    >>> reread_hold("elapsed [min],gauge [mbar]", "5,499.8")
    (300.0, None, 49980.0, None, None)
    >>> reread_hold("elapsed [min],gauge [mbar]", "5;499.8") is None
    True
    """
    reader = _reader(header)
    if reader is None:
        return None
    reader.restart()
    try:
        row = reader.values(typed, 1)
    except FileError:
        return None
    return None if row is None else (row[0], row[1], row[2], row[3], row[4])
