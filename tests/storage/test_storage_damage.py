"""Every change of content is noticed: by the chain, by a seal, or because the file cannot be read any more."""

import random
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from commission.base.errors import CommissionError, Damaged
from commission.record.entries import Withdrawn
from commission.record.logged import Head
from commission.storage import verify
from commission.storage.chain import next_digest
from commission.storage.guards import make_guards
from tests.registered import open_log, open_log_for_reading
from tests.storage.making import closed, draft, filled, raw, started, stream, without_guards

SEED = 20_261_125

OTHER_TEXT = 'UPDATE entry SET body = replace(body, \'"text":"note \', \'"text":"Note \') WHERE seq = 3'


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, Head]:
    """Return the bytes of a sound logbook and its head, as they would be written down elsewhere."""
    path = tmp_path_factory.mktemp("sound") / "x.logbook"
    log = filled(path, notes=30)
    head = log.head()
    assert log.verify(head) == []
    log.close()
    return path.read_bytes(), head


def noticed(path: Path, known: Head | None = None) -> list[str]:
    """Return what opening, verifying and reading say against a file; anything but our own errors is a defect."""
    try:
        log = open_log_for_reading(path)
    except CommissionError as error:
        return [str(error)]
    found = [problem.message for problem in log.verify(known)]
    assert all("\n" not in message for message in found)
    for read in (log.entries, lambda: log.samples("s1")):
        try:
            read()
        except CommissionError as error:
            found.append(str(error))
    log.close()
    return found


def content(path: Path) -> object:
    """Return all that a file holds, by a plain connection; None where it cannot be read."""
    connection = raw(path)
    connection.text_factory = bytes
    try:
        return [
            connection.execute("SELECT * FROM entry NOT INDEXED ORDER BY seq").fetchall(),
            connection.execute("SELECT id, name FROM series NOT INDEXED ORDER BY id").fetchall(),
            connection.execute("SELECT * FROM sample ORDER BY series, n").fetchall(),
        ]
    except (sqlite3.Error, UnicodeDecodeError):
        return None
    finally:
        connection.close()


def flips(data: bytes, rng: random.Random, count: int) -> Iterator[bytes]:
    """Yield copies with one bit turned over, or sixteen bytes, or a sector of 512, or a page of zeros, or a cut."""
    for number in range(count):
        copy = bytearray(data)
        where = rng.randrange(len(copy))
        match number % 8:
            case 4:
                copy[where : where + 16] = rng.randbytes(len(copy[where : where + 16]))
            case 5:
                copy[where - where % 512 : where - where % 512 + 512] = rng.randbytes(512)
            case 6:
                copy[where - where % 4096 : where - where % 4096 + 4096] = bytes(4096)
            case 7:
                del copy[where:]
            case _:
                copy[where] ^= 1 << rng.randrange(8)
        yield bytes(copy)


def missed(data: bytes, tmp_path: Path, count: int) -> tuple[int, list[int]]:
    """Return how many damaged copies hold another content, and which of them nothing was said about."""
    path = tmp_path / "copy.logbook"
    path.write_bytes(data)
    original = content(path)
    changed, silent = 0, []
    for number, copy in enumerate(flips(data, random.Random(SEED), count)):
        path.write_bytes(copy)
        if content(path) == original:
            noticed(path)
            continue
        changed += 1
        path.write_bytes(copy)
        if not noticed(path):
            silent.append(number)
    return changed, silent


def test_every_damage_that_changes_the_content_is_noticed_and_nothing_crashes(
    sound: tuple[bytes, Head], tmp_path: Path
) -> None:
    changed, silent = missed(sound[0], tmp_path, 400)
    assert changed > 100, f"the damage is idle (seed {SEED})"
    assert silent == [], f"seed {SEED}"


def test_without_the_chain_the_same_damage_is_missed(
    sound: tuple[bytes, Head], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The twin of the test above: it shows that the chain, and not the page check, carries it."""
    path = tmp_path / "x.logbook"
    path.write_bytes(sound[0])
    connection = without_guards(path)
    connection.execute('UPDATE entry SET body = replace(body, \'"text":"note \', \'"text":"nota \') WHERE seq = 4')
    rows = dict(connection.execute("SELECT body, digest FROM entry").fetchall())
    connection.close()
    _with_guards_again(path)
    assert noticed(path)
    monkeypatch.setattr(verify, "next_digest", lambda _before, text: rows[text])
    monkeypatch.setattr("commission.storage.store.next_digest", lambda _before, text: rows[text])
    assert noticed(path) == []


def _with_guards_again(path: Path) -> None:
    connection = raw(path)
    make_guards(connection)
    connection.close()


EDITS: list[tuple[str, str]] = [
    (OTHER_TEXT, "does not match its digest"),
    ("UPDATE entry SET operator = 'Max' WHERE seq = 3", "its columns differ from its text: operator"),
    ("UPDATE entry SET wall_ms = wall_ms + 1 WHERE seq = 30", "its columns differ from its text: wall_ms"),
    ("UPDATE entry SET build = 'b2' WHERE seq = 30", "its columns differ from its text: build"),
    ("UPDATE entry SET kind = 'build opened' WHERE seq = 30", "its columns differ from its text: kind"),
    ("UPDATE entry SET boot_ms = NULL WHERE seq = 30", "its columns differ from its text: boot_ms"),
    ("UPDATE entry SET digest = substr(digest, 2) || '0' WHERE seq = 3", "does not match its digest"),
    ("UPDATE entry SET body = (SELECT body FROM entry WHERE seq = 6) WHERE seq = 5", "does not match its digest"),
    ("DELETE FROM entry WHERE seq = 7", "entry 7 is missing before it"),
    ("DELETE FROM entry WHERE seq < 4", "entry 1 is missing before it"),
    ("UPDATE sample SET pressure_pa = pressure_pa + 0.001 WHERE n = 9", "the samples it seals were changed"),
    ("UPDATE sample SET air_k = 0 WHERE air_k IS NULL AND n = 9", "the samples it seals were changed"),
    ("UPDATE sample SET typed = typed || ' ' WHERE n = 9", "the samples it seals were changed"),
    ("DELETE FROM sample WHERE n = 9", "the samples it seals were changed"),
    ("DELETE FROM sample WHERE n = 40", "it seals 40 samples, but there are 39"),
    ("INSERT INTO sample SELECT series, 41, 41.0, 1, 1.0, NULL, NULL, '' FROM sample WHERE n = 1", "1 samples were"),
    ("UPDATE series SET name = 's2'", "it seals 40 samples, but there are 0"),
    ("UPDATE sample SET series = 5 WHERE n = 9", "samples belong to no series"),
]  # fmt: skip


@pytest.mark.parametrize(("statement", "message"), EDITS)
def test_every_edit_through_sql_is_noticed_and_named(
    sound: tuple[bytes, Head], tmp_path: Path, statement: str, message: str
) -> None:
    path = tmp_path / "x.logbook"
    path.write_bytes(sound[0])
    connection = without_guards(path)
    connection.execute("PRAGMA foreign_keys = OFF")
    assert connection.execute(statement).rowcount > 0
    connection.close()
    _with_guards_again(path)
    found = noticed(path)
    assert message in " ".join(found)
    assert not any("guard" in each for each in found)


def _chained_again(connection: sqlite3.Connection, first: int) -> None:
    """Make the chain consistent from an entry on, as somebody who knows the rule could."""
    (before,) = connection.execute("SELECT digest FROM entry WHERE seq = ?", (first - 1,)).fetchone() or ("",)
    for seq, body in connection.execute("SELECT seq, body FROM entry WHERE seq >= ? ORDER BY seq", (first,)).fetchall():
        before = next_digest(before, body)
        connection.execute("UPDATE entry SET digest = ? WHERE seq = ?", (before, seq))


@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM entry WHERE seq > 30",
        "DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry)",
        'UPDATE entry SET body = replace(body, \'"text":"note \', \'"text":"Note \') WHERE seq = 3',
        "DELETE FROM entry",
    ],
)
def test_a_cut_tail_or_a_chain_made_anew_is_seen_only_by_a_head_that_was_written_down_elsewhere(
    sound: tuple[bytes, Head], tmp_path: Path, statement: str
) -> None:
    path = tmp_path / "x.logbook"
    path.write_bytes(sound[0])
    connection = without_guards(path)
    connection.execute("DELETE FROM sample")
    connection.execute("DELETE FROM series")
    connection.execute("DELETE FROM entry WHERE kind IN ('hold started', 'hold closed') AND seq > 30")
    connection.execute("UPDATE entry SET body = replace(body, '\"seq\":33', '\"seq\":31'), seq = 31 WHERE seq = 33")
    _chained_again(connection, 1)
    (digest,) = connection.execute("SELECT digest FROM entry WHERE seq = 31").fetchone()
    known = Head(seq=31, digest=digest)
    connection.close()
    _with_guards_again(path)
    assert noticed(path, known) == []
    connection = without_guards(path)
    connection.execute(statement)
    _chained_again(connection, 1)
    connection.close()
    _with_guards_again(path)
    assert noticed(path) == []
    assert noticed(path, known) == ["the head that was written down elsewhere is not in this logbook"]


def test_an_entry_that_does_not_match_its_digest_is_not_shown_as_if_it_did(
    sound: tuple[bytes, Head], tmp_path: Path
) -> None:
    path = tmp_path / "x.logbook"
    path.write_bytes(sound[0])
    connection = without_guards(path)
    connection.execute('UPDATE entry SET body = replace(body, \'"text":"note \', \'"text":"Note \') WHERE seq = 3')
    connection.close()
    log = open_log_for_reading(path)
    with pytest.raises(Damaged, match="entry 3 does not match its digest"):
        log.entries()
    with pytest.raises(Damaged, match="entry 3 does not match its digest"):
        log.entry(3)
    assert log.entry(5) is not None
    log.close()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET digest = substr(digest, 2) || '0' WHERE seq = (SELECT max(seq) FROM entry)",
        "DROP INDEX entry_build",
        "UPDATE sample SET series = 5 WHERE n = 9",
    ],
)
def test_a_log_with_a_fault_that_shows_at_once_is_not_written_to(
    sound: tuple[bytes, Head], tmp_path: Path, statement: str
) -> None:
    path = tmp_path / "x.logbook"
    path.write_bytes(sound[0])
    connection = without_guards(path)
    connection.execute("PRAGMA foreign_keys = OFF")
    connection.execute(statement)
    connection.close()
    _with_guards_again(path)
    before = path.read_bytes()
    log = open_log(path, holder="tests")
    if "INDEX" in statement:
        # an index carries no content: it may be missing
        assert log.read_only_because == ""
    else:
        assert "the logbook is damaged" in log.read_only_because
    log.close()
    assert path.read_bytes() == before


def test_two_closings_of_one_series_are_both_checked(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    log = open_log(path, holder="tests")
    log.append(draft(started()))
    log.add_samples("s1", stream(10))
    first = log.append(draft(closed(log.seal("s1"))))
    log.add_samples("s1", stream(5, first=10))
    assert [problem.message for problem in log.verify()] == ["5 samples were added after it sealed the series"]
    log.append(draft(Withdrawn(target=first.seq, reason="goes on")))
    assert log.verify() == []
    log.append(draft(closed(log.seal("s1"))))
    assert log.verify() == []
    log.close()
    connection = without_guards(path)
    connection.execute("UPDATE sample SET typed = 'x' WHERE n = 12")
    connection.close()
    _with_guards_again(path)
    (told, refused) = noticed(path)
    assert told == "the samples it seals were changed"
    assert "the readings of this hold cannot be judged: entry 4: the samples it seals were changed" in refused


def test_a_file_whose_version_was_wiped_is_damaged_not_new(sound: tuple[bytes, Head], tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    for version in (0, -1):
        path.write_bytes(sound[0])
        connection = raw(path)
        connection.execute(f"PRAGMA user_version = {version}")
        connection.close()
        before = path.read_bytes()
        with pytest.raises(Damaged, match=f"its version is {version}"):
            open_log_for_reading(path)
        with pytest.raises(Damaged, match=f"its version is {version}"):
            open_log(path, holder="tests")
        assert path.read_bytes() == before
