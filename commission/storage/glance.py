"""The names of the builds, read without opening the log: for the first picture on the screen, before anything else.

Nothing is checked and nothing is promised here; whatever is wrong with the file is said when the log is opened.
"""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

from commission.storage.schema import APPLICATION_ID

MOST = 200
"""Builds that are looked for; more do not fit on any screen."""


def glance(path: Path) -> list[tuple[str, str]]:
    """Return id and name of the builds, the one opened last first; an empty list where the file cannot be read."""
    try:
        if not path.is_file():
            return []
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, timeout=0.2)) as connection:
            if connection.execute("PRAGMA application_id").fetchone() != (APPLICATION_ID,):
                return []
            return connection.execute(
                "SELECT build, json_extract(body, '$.payload.name') FROM entry AS opened WHERE kind = 'build opened' "
                "AND ifnull((SELECT kind FROM entry WHERE build = opened.build "
                "AND kind IN ('build put away', 'build brought back') AND seq NOT IN "
                "(SELECT json_extract(body, '$.payload.target') FROM entry WHERE kind = 'withdrawn') "
                "ORDER BY seq DESC LIMIT 1), '') <> 'build put away' ORDER BY seq DESC LIMIT ?",
                (MOST,),
            ).fetchall()
    except (sqlite3.Error, OSError, RuntimeError, ValueError):  # said when it is opened
        return []


def glance_bundle(path: Path) -> list[tuple[str, str]]:
    """Return the same for a whole bundle in which no build was put away; raises OSError where it cannot be read."""
    with path.open(encoding="utf-8") as lines:
        bodies = [json.loads(line)["body"] for line in lines if '"kind":"build opened"' in line]
    return [(body["build"], body["payload"]["name"]) for body in reversed(bodies)]
