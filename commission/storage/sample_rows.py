"""Samples as a bundle has them, lists of JSON values, made rows: strictly, and a column at a time."""

from collections.abc import Sequence
from typing import Any

from commission.base.errors import FileError
from commission.record.logged import Sample
from commission.storage.canonical import require_unicode
from commission.storage.codec import decode
from commission.storage.samples import Row, row_of

_FIELDS = Sample.__struct_fields__

_FAR = 2.0**53 - 1
"""Figures nearer to 0 than this are numbers to every reader; others are looked at one by one."""

_NUMBER = frozenset({float, type(None)})


def rows_of(items: Sequence[Any]) -> list[Row]:
    """Return samples as rows; raises FileError where one is not as it should be.

    There may be a million: a lot of them that are all as this program writes them is told by its columns alone.
    """
    return list(map(tuple, items)) if _usual(items) else [_row(item) for item in items]


def _usual(items: Sequence[Any]) -> bool:
    if set(map(type, items)) != {list} or set(map(len, items)) != {len(_FIELDS)}:
        return False
    elapsed, wall, *read, texts = zip(*items, strict=True)
    if set(map(type, elapsed)) != {float} or set(map(type, wall)) != {int} or set(map(type, texts)) != {str}:
        return False
    if not all(_near(column) for column in (elapsed, wall)):
        return False
    for column in read:
        kinds = set(map(type, column))
        if not kinds <= _NUMBER or not _near([value for value in column if value is not None]):
            return False
    require_unicode("".join(texts))
    return True


def _near(column: Sequence[float]) -> bool:
    # what is read as JSON is never NaN, so these two tell the whole
    return not column or (min(column) > -_FAR and max(column) < _FAR)


def _row(item: object) -> Row:
    if not isinstance(item, list) or len(item) != len(_FIELDS):
        raise FileError(f"a sample must be a list of {len(_FIELDS)} values")
    return row_of(decode(Sample, dict(zip(_FIELDS, item, strict=True))))
