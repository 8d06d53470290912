"""When the seals of a series are looked at: before each verdict, but never so often that it slows a hold down."""

import sqlite3
import time

from commission.base.frozen import Frozen
from commission.record.face import Registry
from commission.storage.reread import Reread
from commission.storage.seals import require_sound
from commission.storage.tail import Tail, require_unchanged

PATIENCE = 20
"""While another program writes, looks come at most every so many times as long as one takes: 5 % of the time; our
choice. A day at one reading a second is looked at in about half a second."""


class _Look(Frozen, kw_only=False):
    version: int
    at: float
    took: float


class SeriesWatch:
    """Looks at the seals of the series that verdicts are asked for."""

    def __init__(self, registry: Registry, reread: Reread | None) -> None:
        self._registry = registry
        self._reread = reread
        self._looks: dict[str, _Look] = {}

    def look(self, connection: sqlite3.Connection, series: str, tail: Tail | None, *, always: bool = False) -> None:
        """Raise Damaged where a series is not as it was sealed, or its end not as this program stored it.

        Nothing is looked at twice while only this connection wrote since; ``always``: look all the same.
        """
        (version,) = connection.execute("PRAGMA data_version").fetchone()
        last, start = self._looks.get(series), time.monotonic()
        fresh = last is not None and (last.version == version or start - last.at < PATIENCE * last.took)
        if fresh and not always:
            return
        if tail is not None:
            require_unchanged(connection, self._registry, series, tail)
        require_sound(connection, self._registry, series, self._reread)
        now = time.monotonic()
        self._looks[series] = _Look(version, now, now - start)

    def forget(self) -> None:
        """Forget all looks: the file was let go."""
        self._looks.clear()
