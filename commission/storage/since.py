"""In which builds something was begun and not ended since: grouped by the database, which decodes no entry for it."""

import sqlite3
from collections.abc import Collection, Iterable, Sequence

from commission.base.errors import Damaged
from commission.storage.chain import next_digest
from commission.storage.schema import BUILD_IN_BODY, KIND_IN_BODY


def begun_since(connection: sqlite3.Connection, begun: str, ended: Sequence[str], gone: Collection[int]) -> list[str]:
    """Return the builds with an entry of a kind after their last end, in the order in which that came.

    Parameters
    ----------
    connection
        A log with tables.
    begun, ended
        Words of the kind that begins, and of those that end.
    gone
        Numbers of the entries that were withdrawn: such an end did not end anything.

    Raises
    ------
    Damaged
        If an end that decides does not match its digest.
    """
    ends = _ends(len(ended), gone)
    over = [seq for _, seq in connection.execute(ends, tuple(ended))]
    for seq, before, text, digest in connection.execute(_sealed(over)):
        if next_digest(before, text) != digest:
            raise Damaged(f"entry {seq} does not match its digest; run commission verify and restore a backup")
    return [build for (build,) in connection.execute(_begun(ends), (*ended, begun, begun))]


def _ends(kinds: int, gone: Collection[int]) -> str:
    """Return the statement for the last end of each build.

    An end counts only where columns and text say the same; one of a build whose name JSON writes otherwise does not
    count, and the build is looked at once too often.
    """
    return (
        "SELECT build, max(seq) AS seq FROM entry "  # noqa: S608 - names of our own fields, and numbers
        f"WHERE kind IN ({', '.join('?' * kinds)}) AND {KIND_IN_BODY} = kind AND {BUILD_IN_BODY} = build "
        f"AND seq NOT IN ({_numbers(gone)}) GROUP BY build"
    )


def _begun(ends: str) -> str:
    """Return the statement for the builds; a beginning counts where column or text says so, so that none can hide."""
    return f"""
WITH ended AS ({ends}),
    began AS (SELECT seq, build, {BUILD_IN_BODY} AS told FROM entry WHERE kind = ? OR {KIND_IN_BODY} = ?),
    found AS (SELECT build, seq FROM began UNION SELECT told, seq FROM began)
SELECT found.build FROM found LEFT JOIN ended ON ended.build = found.build
WHERE found.seq > ifnull(ended.seq, 0) GROUP BY found.build ORDER BY min(found.seq)
"""  # noqa: S608 - names of our own fields


def _sealed(numbers: Iterable[int]) -> str:
    """Return the statement for the texts of some entries, with the digest before each and its own."""
    return (
        "SELECT seq, ifnull((SELECT before.digest FROM entry AS before WHERE before.seq = entry.seq - 1), ''), "  # noqa: S608 - numbers
        f"body, digest FROM entry WHERE seq IN ({_numbers(numbers)})"
    )


def _numbers(numbers: Iterable[int]) -> str:
    """Return whole numbers for a list in a statement: there may be more of them than it takes parameters."""
    return ", ".join(str(int(number)) for number in sorted(numbers))
