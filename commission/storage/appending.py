"""Putting an entry at the end of the chain, inside a transaction of the caller's."""

import sqlite3

from commission.base.errors import Damaged
from commission.record.logged import Draft, Head, Logged
from commission.storage.chain import COLUMNS, INSERT_ENTRY, Body, body_of, logged, next_digest


def head_of(connection: sqlite3.Connection) -> Head:
    """Return the end of the chain."""
    found = connection.execute("SELECT seq, digest FROM entry ORDER BY seq DESC LIMIT 1").fetchone()
    return Head(seq=0, digest="") if found is None else Head(seq=found[0], digest=found[1])


def find_uid(connection: sqlite3.Connection, uid: str) -> tuple[int, str, str] | None:
    """Return number, text and digest of the entry with an id, or None."""
    found: tuple[int, str, str] | None = connection.execute(
        "SELECT seq, body, digest FROM entry WHERE uid = ?", (uid,)
    ).fetchone()
    return found


def put_entry(connection: sqlite3.Connection, body: Body, text: str, digest: str) -> None:
    """Store an entry: its body, the canonical text of that, and its digest in the chain."""
    connection.execute(INSERT_ENTRY, (*(getattr(body, name) for name in COLUMNS), text, digest))


def append_inside(connection: sqlite3.Connection, draft: Draft) -> Logged:
    """Put a draft at the end of the chain, or find it where it already is; raises Damaged where it differs."""
    if (found := find_uid(connection, draft.uid)) is not None:
        seq, text, digest = found
        body, same = body_of(draft, seq)
        if same != text:
            raise Damaged(f"entry {seq} has the id of this one but another content: nothing was stored")
        return logged(body, draft.payload, digest)
    head = head_of(connection)
    body, text = body_of(draft, head.seq + 1)
    digest = next_digest(head.digest, text)
    put_entry(connection, body, text, digest)
    return logged(body, draft.payload, digest)
