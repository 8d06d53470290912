r"""The chain: each entry's digest covers its own text and the digest before it, so that no edit stays unseen.

``digest_n = sha256(digest_{n-1} + "\n" + body_n)`` in hexadecimal, with an empty digest before the first entry. The
body is kept as the very text that was digested: a later way of writing JSON cannot break an old chain.
"""

import hashlib
from collections.abc import Sequence

from commission.base.clock import ClockMark
from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.record.face import Registry
from commission.record.logged import Draft, Logged
from commission.record.payload import Payload
from commission.record.unknown import Unknown
from commission.storage.canonical import canonical, parse_json
from commission.storage.codec import decode, encode


class Body(Frozen):
    """An entry's canonical text as plain fields; ``payload`` is still JSON data."""

    seq: int
    """Its place in the log, from 1."""
    uid: str
    """Its id, made by the caller."""
    build: str
    """Id of its build; empty for the workshop's shared things."""
    kind: str
    """Word for its kind."""
    operator: str
    """Who did it."""
    wall_ms: int
    """Wall clock when it was entered [ms since 1970 UTC]."""
    offset_min: int
    """Local time minus UTC [min]."""
    mono_ms: int
    """Clock that stands still in sleep [ms]."""
    boot_ms: int | None
    """Clock that counts sleep [ms]; None where the system has none."""
    boot_id: str
    """Changes with each start of the computer."""
    observed_ms: int | None
    """When it was seen, if that was typed later [ms since 1970 UTC]."""


COLUMNS = Body.__struct_fields__
"""The fields that stand in the body and, for queries, in columns of their own."""

INSERT_ENTRY = (
    f"INSERT INTO entry ({', '.join(COLUMNS)}, body, digest) "  # noqa: S608 - names of our own fields
    f"VALUES ({', '.join('?' * (len(COLUMNS) + 2))})"
)
"""The statement that stores the columns, the text and the digest of an entry."""


def body_of(draft: Draft, seq: int) -> tuple[Body, str]:
    """Return the fields and the canonical text of a draft at its place; raises InputError where it does not fit."""
    mark = draft.mark
    body = Body(
        seq=seq,
        uid=draft.uid,
        build=draft.build,
        kind=draft.payload.KIND,
        operator=draft.operator,
        wall_ms=mark.wall_ms,
        offset_min=mark.offset_min,
        mono_ms=mark.mono_ms,
        boot_ms=mark.boot_ms,
        boot_id=mark.boot_id,
        observed_ms=draft.observed_ms,
    )
    return body, canonical({**encode(body), "payload": encode(draft.payload)})


def read_body(text: str, registry: Registry) -> tuple[Body, Payload]:
    """Return the fields and the payload of an entry's text, Unknown where no stage knows the kind.

    Raises
    ------
    FileError
        If it does not fit.
    """
    data = parse_json(text)
    if not isinstance(data, dict) or "payload" not in data:
        raise FileError("an object with a payload was expected")
    payload = data.pop("payload")
    body = decode(Body, data)
    kind = registry.kinds.get(body.kind)
    if kind is None:
        return body, Unknown(word=body.kind, text=canonical(payload))
    try:
        return body, decode(kind, payload)
    except FileError as error:
        raise FileError(f"payload of {body.kind}: {error}") from error


def differing(body: Body, columns: Sequence[object]) -> str:
    """Return the names of the columns that say otherwise than the text; empty where all agree."""
    return ", ".join(name for name, value in zip(COLUMNS, columns, strict=True) if getattr(body, name) != value)


def logged(body: Body, payload: Payload, digest: str) -> Logged:
    """Return the entry as the rest of the program knows it."""
    return Logged(
        seq=body.seq,
        uid=body.uid,
        build=body.build,
        operator=body.operator,
        mark=ClockMark(
            wall_ms=body.wall_ms,
            offset_min=body.offset_min,
            mono_ms=body.mono_ms,
            boot_ms=body.boot_ms,
            boot_id=body.boot_id,
        ),
        observed_ms=body.observed_ms,
        payload=payload,
        digest=digest,
    )


def next_digest(previous: str, body: str) -> str:
    r"""Return the digest of an entry's text after the digest before it.

    Examples
    --------
    SHA-256 of a single line feed, as ``printf '\n' | sha256sum`` prints it:

    >>> next_digest("", "")
    '01ba4719c80b6fe911b091a7c05124b64eeece964e09c058ef8f9805daca546b'
    """
    return hashlib.sha256(f"{previous}\n{body}".encode()).hexdigest()
