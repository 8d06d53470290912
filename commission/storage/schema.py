"""The tables as they stand in a file of the present version, and the numbers by which a file is known as ours."""

APPLICATION_ID = 0x434C6F67
"""Stands in the header of each logbook file (ASCII ``CLog``); another number means another program's file."""

SCHEMA_VERSION = 2
"""``user_version`` of the files that this program writes; a larger one means a newer program."""

MIGRATIONS_TABLE = "_sqlite_migrations"
"""Kept by sqlite-utils; the only table without guards."""

_FINITE = "BETWEEN -1e300 AND 1e300"

M001 = f"""
CREATE TABLE entry (
    seq INTEGER PRIMARY KEY CHECK (seq > 0),
    uid TEXT NOT NULL UNIQUE CHECK (uid <> ''),
    build TEXT NOT NULL,
    kind TEXT NOT NULL,
    operator TEXT NOT NULL,
    wall_ms INTEGER NOT NULL,
    offset_min INTEGER NOT NULL,
    mono_ms INTEGER NOT NULL,
    boot_ms INTEGER,
    boot_id TEXT NOT NULL,
    observed_ms INTEGER,
    body TEXT NOT NULL,
    digest TEXT NOT NULL CHECK (length(digest) = 64)
) STRICT;
CREATE INDEX entry_build ON entry (build);
CREATE INDEX entry_kind ON entry (kind);
CREATE TABLE series (
    id INTEGER PRIMARY KEY CHECK (id > 0),
    name TEXT NOT NULL UNIQUE CHECK (name <> '')
) STRICT;
CREATE TABLE sample (
    series INTEGER NOT NULL REFERENCES series (id),
    n INTEGER NOT NULL CHECK (n > 0),
    elapsed_s REAL NOT NULL CHECK (elapsed_s {_FINITE}),
    wall_ms INTEGER NOT NULL,
    pressure_pa REAL CHECK (pressure_pa {_FINITE}),
    air_k REAL CHECK (air_k {_FINITE}),
    barometer_pa REAL CHECK (barometer_pa {_FINITE}),
    typed TEXT NOT NULL,
    PRIMARY KEY (series, n)
) STRICT, WITHOUT ROWID;
PRAGMA application_id = {APPLICATION_ID};
PRAGMA user_version = 1;
"""
"""First version of the tables. A NULL passes a CHECK: it means that the value was not read."""


def _between(before: str, after: str) -> str:
    """Return the expression for what stands in an entry's text between two pieces of it."""
    start = f"instr(body, '{before}') + {len(before)}"
    return f"substr(body, {start}, instr(body, '{after}') - ({start}))"


BUILD_IN_BODY = _between(',"build":"', '","kind":"')
"""The build that the sealed text of an entry names, as it is written in JSON.

The keys of the text are sorted, and a quotation mark inside a value has a backslash before it: so these pieces stand
there once. JSON functions would say the same, but SQLite refuses them in an index where the schema is not trusted.
"""

KIND_IN_BODY = _between('","kind":"', '","mono_ms":')
"""The kind that the sealed text of an entry names."""

M002 = f"""
CREATE INDEX entry_body_build ON entry ({BUILD_IN_BODY});
CREATE INDEX entry_body_kind ON entry ({KIND_IN_BODY});
PRAGMA user_version = 2;
"""
"""Entries are found by what is sealed too: one whose column was changed cannot hide from its build."""

TABLES = ("entry", "series", "sample")
"""The tables that hold records, each with its three guards."""
