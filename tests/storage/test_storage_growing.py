"""A series that still grows: it is sealed on the way, and what was changed behind the program's back is noticed."""

import random
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from commission.base.errors import CommissionError, Damaged, FileError
from commission.base.frozen import replace
from commission.record.face import Registry
from commission.record.logged import Draft, Sample, Unsealed
from commission.record.payload import Payload
from commission.record.series_entries import SEAL_ROWS, SEAL_S, SeriesHeaded, SeriesSealed, seals_of
from commission.stages.pressure_hold.files.reread import reread_hold
from commission.storage import opening, samples, watch
from commission.storage.exchange import export_bundle
from commission.storage.guards import make_guards
from commission.storage.store import SqliteLog
from tests.registered import REGISTRY, import_bundle, open_log, open_log_for_reading
from tests.storage.making import closed, draft, raw, started, without_guards

SEED = 20_261_128
HEADER = "elapsed [s],gauge [mbar],air [degC]"


def rows(count: int, first: int = 0, every_s: int = 1) -> list[Sample]:
    """Return samples whose text says what their values say."""
    found = []
    for n in range(first, first + count):
        mbar = round(500 - n / 7, 1)
        typed = f"{n * every_s},{mbar:.1f},21.3"
        elapsed, _, pressure, air, _ = reread_hold(HEADER, typed) or pytest.fail(typed)
        assert elapsed is not None
        wall = 1_790_000_000_000 + 1000 * n
        found.append(
            Sample(elapsed_s=elapsed, wall_ms=wall, pressure_pa=pressure, air_k=air, barometer_pa=None, typed=typed)
        )
    return found


def stamp(payload: Payload) -> Draft:
    """Return a draft about the series."""
    return draft(payload, build=seals_of("s1"))


def fed(path: Path, count: int) -> SqliteLog:
    """Return an open log with a hold that runs, and so many readings that came ten at a time."""
    log = open_log(path, holder="tests", reread=reread_hold)
    for _ in range(3):
        log.append(draft())
    log.append(draft(started()))
    for first in range(0, count, 10):
        log.add_samples("s1", rows(10, first), stamp=stamp, header=HEADER)
    return log


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Return the bytes of a logbook with a running hold: 200 readings, 180 of them sealed."""
    path = tmp_path_factory.mktemp("running") / "x.logbook"
    log = fed(path, 200)
    assert log.verify() == []
    log.close()
    return path.read_bytes()


@pytest.fixture
def path(running: bytes, tmp_path: Path) -> Path:
    found = tmp_path / "x.logbook"
    found.write_bytes(running)
    return found


def _edit(path: Path, *statements: str) -> None:
    """Change rows as somebody could who knows the file: drop the guards, change, make them again."""
    connection = without_guards(path)
    connection.execute("PRAGMA foreign_keys = OFF")
    for statement in statements:
        assert connection.execute(statement).rowcount > 0, statement
    make_guards(connection)
    connection.close()


def _reader(path: Path) -> SqliteLog:
    return open_log_for_reading(path, reread=reread_hold)


def _said(path: Path) -> list[str]:
    log = _reader(path)
    found = [problem.message for problem in log.verify()]
    log.close()
    return found


def test_seals_come_while_the_series_grows(path: Path) -> None:
    log = _reader(path)
    about = [entry.payload for entry in log.entries(seals_of("s1"))]
    assert about[0] == SeriesHeaded(series="s1", first=1, header=HEADER)
    sealed = [(one.first, one.last) for one in about if isinstance(one, SeriesSealed)]
    assert sealed == [(1, 60), (61, 120), (121, 180)]
    assert log.unsealed() == [Unsealed(series="s1", count=20)]
    assert len(log.samples("s1").elapsed_s) == 200
    log.close()


def test_a_seal_is_the_digest_of_its_rows(path: Path) -> None:
    """SHA-256 over the canonical rows, as ``samples`` defines it; counted here from the text of a plain query."""
    import hashlib
    import json

    connection = raw(path)
    columns = "elapsed_s, wall_ms, pressure_pa, air_k, barometer_pa, typed"
    plain = connection.execute(f"SELECT {columns} FROM sample WHERE n BETWEEN 61 AND 120 ORDER BY n").fetchall()
    connection.close()
    text = json.dumps(plain, separators=(",", ":"))
    log = _reader(path)
    (seal,) = [
        e.payload for e in log.entries(seals_of("s1")) if isinstance(e.payload, SeriesSealed) and e.payload.first == 61
    ]
    log.close()
    assert seal.digest == hashlib.sha256(text.encode()).hexdigest()


def test_readings_that_come_seldom_are_sealed_by_time(tmp_path: Path) -> None:
    log = open_log(tmp_path / "x", holder="tests", reread=reread_hold)
    log.append(draft(started()))
    longest = 0
    for row in rows(40, every_s=100):
        log.add_samples("s1", [row], stamp=stamp, header=HEADER)
        longest = max([longest, *(one.count for one in log.unsealed())])
    assert (longest - 1) * 100 < SEAL_S
    assert log.verify() == []
    log.close()


def test_at_no_moment_more_readings_than_the_bound_have_no_seal(tmp_path: Path) -> None:
    log = open_log(tmp_path / "x", holder="tests")
    log.append(draft(started()))
    ready, rng = rows(500), random.Random(SEED)
    while ready:
        some = rng.choice([1, 1, 1, 7, 59, 61, 130])
        now, ready = ready[:some], ready[some:]
        log.add_samples("s1", now, stamp=stamp, header=HEADER)
        assert all(one.count < SEAL_ROWS for one in log.unsealed())
    log.close()


CHANGES = [
    ("UPDATE sample SET pressure_pa = pressure_pa + 3000 WHERE n = 150", "readings 121 to 180, which it seals"),
    ("UPDATE sample SET typed = '149,500.0,21.3' WHERE n = 150", "readings 121 to 180, which it seals"),
    ("UPDATE sample SET wall_ms = wall_ms + 1 WHERE n = 2", "readings 1 to 60, which it seals"),
    ("UPDATE sample SET pressure_pa = 50000, typed = n || ',500.0,21.3' WHERE n > 100", "readings 61 to 120, which"),
    ("DELETE FROM sample WHERE n > 170", "it seals readings 121 to 180, but there are 170"),
    ("DELETE FROM sample WHERE n = 30", "readings 1 to 60, which it seals"),
    ("UPDATE sample SET pressure_pa = 50000 WHERE n = 190", "reading 190 holds other values than its text says"),
    ("UPDATE sample SET typed = '189,500.0,21.3' WHERE n = 190", "reading 190 holds other values than its text says"),
    ("DELETE FROM entry WHERE body LIKE '%\"first\":61,%'", "is missing before it"),
]


@pytest.mark.parametrize(("statement", "message"), CHANGES)
def test_a_change_to_a_running_series_is_noticed_by_verify_and_by_whoever_judges(
    path: Path, statement: str, message: str
) -> None:
    """All of this was sound before seals were set: a hold that failed became one that passed."""
    _edit(path, statement)
    assert message in " ".join(_said(path))
    log = _reader(path)
    with pytest.raises(Damaged, match="cannot be judged: entry") as caught:
        log.samples("s1")
    assert "\n" not in str(caught.value)
    with pytest.raises(Damaged, match="cannot be judged"):
        log.seal("s1")
    log.close()


def test_a_seal_that_was_taken_out_and_the_numbers_closed_up_is_noticed(path: Path) -> None:
    connection = without_guards(path)
    (last,) = connection.execute("SELECT max(seq) FROM entry").fetchone()
    connection.execute("DELETE FROM entry WHERE seq = ?", (last,))
    make_guards(connection)
    connection.close()
    assert "80 readings after it have no seal, but every 60 get one" in " ".join(_said(path))


def test_a_change_while_the_program_runs_is_noticed_before_the_next_seal(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        watch, "PATIENCE", 0.0
    )  # on a busy machine the first look takes long, and the next waits longer
    log = open_log(path, holder="tests", reread=reread_hold)
    more = rows(60, first=200)
    log.add_samples("s1", more[:10], stamp=stamp, header=HEADER)
    assert len(log.samples("s1").elapsed_s) == 210
    # text and value both say something else now: only what this program remembers tells
    _edit(path, "UPDATE sample SET pressure_pa = 50000.0, typed = '199,500.0,21.3' WHERE n = 200")
    with pytest.raises(Damaged, match="readings 181 to 210 of this hold are not as they were stored"):
        log.samples("s1")
    with pytest.raises(Damaged, match="readings 181 to 240 of this hold are not as they were stored"):
        log.add_samples("s1", more[10:40], stamp=stamp, header=HEADER)
    assert samples.count(log.connection, "s1") == 210
    log.close()


def test_a_change_is_told_by_the_word_that_the_stage_uses_for_its_attempts(path: Path) -> None:
    soaks = Registry(tuple(replace(face, word="soak" if face.series else "") for face in REGISTRY.faces))
    log = opening.open_log(path, holder="tests", registry=soaks, reread=reread_hold)
    log.add_samples("s1", rows(1, first=200), stamp=stamp, header=HEADER)
    _edit(path, "DELETE FROM sample WHERE n > 195")
    with pytest.raises(Damaged, match="readings 181 to 201 of this soak are not as they were stored"):
        log.add_samples("s1", rows(1, first=201), stamp=stamp, header=HEADER)
    log.close()
    _edit(path, "UPDATE sample SET pressure_pa = 50000.0 WHERE n = 20")
    log = opening.open_log(path, holder="tests", registry=soaks, reread=reread_hold)
    with pytest.raises(Damaged, match="the readings of this soak cannot be judged: entry "):
        log.samples("s1")
    log.close()


def test_a_reader_notices_while_another_program_writes(path: Path) -> None:
    reader = _reader(path)
    assert len(reader.samples("s1").elapsed_s) == 200
    _edit(path, "UPDATE sample SET pressure_pa = 50000.0 WHERE n = 20")
    with pytest.raises(Damaged, match="readings 1 to 60, which it seals, were changed"):
        reader.seal("s1")
    reader.close()


def test_rows_that_somebody_cut_off_are_noticed_when_the_next_one_comes(path: Path) -> None:
    log = open_log(path, holder="tests", reread=reread_hold)
    log.add_samples("s1", rows(1, first=200), stamp=stamp, header=HEADER)
    _edit(path, "DELETE FROM sample WHERE n > 195")
    with pytest.raises(Damaged, match="readings 181 to 201 of this hold are not as they were stored"):
        log.add_samples("s1", rows(1, first=201), stamp=stamp, header=HEADER)
    log.close()


def test_the_end_of_the_input_seals_what_is_left(path: Path) -> None:
    log = open_log(path, holder="tests", reread=reread_hold)
    assert log.add_samples("s1", [], stamp=stamp, seal=True) == 200
    head = log.head()
    assert log.add_samples("s1", [], stamp=stamp, seal=True) == 200
    assert (log.head(), log.unsealed(), log.verify()) == (head, [], [])
    log.append(draft(closed(log.seal("s1"))))
    assert log.verify() == []
    log.close()


def test_rows_and_their_seal_go_in_together_or_not_at_all(path: Path) -> None:
    log = open_log(path, holder="tests", reread=reread_hold)
    head = log.head()

    def failing(payload: Payload) -> Draft:
        raise RuntimeError("no clock")

    with pytest.raises(RuntimeError):
        log.add_samples("s1", rows(40, first=200), stamp=failing, header=HEADER)
    assert (log.head(), samples.count(log.connection, "s1")) == (head, 200)
    assert log.add_samples("s1", rows(40, first=200), stamp=stamp, header=HEADER) == 240
    assert log.verify() == []
    log.close()


def test_a_text_that_says_otherwise_gets_no_seal(tmp_path: Path) -> None:
    log = fed(tmp_path / "x", 50)
    wrong = rows(1, first=50)[0]
    false = Sample(
        elapsed_s=50.0, wall_ms=wrong.wall_ms, pressure_pa=1.0, air_k=294.45, barometer_pa=None, typed=wrong.typed
    )
    with pytest.raises(Damaged, match="reading 51 of this hold holds other values than its text says"):
        log.add_samples("s1", [false], stamp=stamp, header=HEADER, seal=True)
    assert samples.count(log.connection, "s1") == 50
    log.close()


def test_a_bundle_whose_readings_say_otherwise_than_their_text_is_not_imported(tmp_path: Path) -> None:
    log = fed(tmp_path / "x", 50)
    log.add_samples("s1", [replace(rows(1, first=50)[0], pressure_pa=1.0)])
    lines = list(export_bundle(log))
    log.close()
    import_bundle(lines, tmp_path / "y")
    with pytest.raises(FileError, match=r"not sound: .*reading 51 holds other values than its text says"):
        import_bundle(lines, tmp_path / "z", reread=reread_hold)
    assert not (tmp_path / "z").exists()


# Damage to the bytes


def _content(path: Path) -> list[object] | None:
    """Return entries, and rows of the series by their number; None where a plain connection cannot read them."""
    connection = raw(path)
    connection.text_factory = bytes
    try:
        return [
            connection.execute("SELECT * FROM entry NOT INDEXED ORDER BY seq").fetchall(),
            connection.execute("SELECT id, name FROM series NOT INDEXED ORDER BY id").fetchall(),
            connection.execute("SELECT * FROM sample WHERE n <= 180 ORDER BY series, n").fetchall(),
        ]
    except (sqlite3.Error, UnicodeDecodeError):
        return None
    finally:
        connection.close()


def _noticed(path: Path, read: Callable[[SqliteLog], object]) -> bool:
    try:
        log = _reader(path)
    except CommissionError:
        return True
    try:
        return bool(read(log))
    except CommissionError:
        return True
    finally:
        log.close()


def _damaged(data: bytes, where: list[int], rng: random.Random) -> bytes:
    copy = bytearray(data)
    at = rng.choice(where)
    if rng.random() < 0.7:
        copy[at] ^= 1 << rng.randrange(8)
    else:
        copy[at : at + 4] = rng.randbytes(4)
    return bytes(copy)


def _bytes_of_readings(data: bytes) -> list[int]:
    """Return places near the text of readings and seals: damage there leaves most files readable."""
    found: list[int] = []
    for n in range(200):
        mbar = round(500 - n / 7, 1)
        at = data.find(f"{n},{mbar:.1f},21.3".encode())
        assert at > 0
        found.extend(range(at - 34, at + 12))
    at = data.find(b'"digest":"')
    while at > 0:
        found.extend(range(at, at + 200))
        at = data.find(b'"digest":"', at + 1)
    return found


def test_damage_to_the_content_of_a_readable_file_is_noticed_in_everything_sealed(
    running: bytes, tmp_path: Path
) -> None:
    """At least 300 readable files with another content in entries or in sealed rows; not one stays unnoticed."""
    path = tmp_path / "copy.logbook"
    path.write_bytes(running)
    original, rng = _content(path), random.Random(SEED)
    where = _bytes_of_readings(running)
    changed, silent = 0, []
    for number in range(2_000):
        copy = _damaged(running, where, rng)
        path.write_bytes(copy)
        now = _content(path)
        if now is None or now == original:
            continue
        changed += 1
        if not _noticed(path, lambda log: log.verify()):
            silent.append(number)
        if changed == 350:
            break
    assert changed >= 300, f"the damage is idle: {changed} (seed {SEED})"
    assert silent == [], f"seed {SEED}"


def test_without_the_seals_the_same_damage_is_missed(
    running: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The twin of the test above: it shows that the seals carry it."""
    monkeypatch.setattr("commission.storage.verify.growing_faults", lambda *_: [])
    monkeypatch.setattr("commission.storage.verify.text_faults", lambda *_: [])
    path = tmp_path / "copy.logbook"
    path.write_bytes(running)
    original, rng = _content(path), random.Random(SEED)
    missed, where = 0, _bytes_of_readings(running)
    for _ in range(100):
        path.write_bytes(_damaged(running, where, rng))
        now = _content(path)
        if now is not None and now != original and not _noticed(path, lambda log: log.verify()):
            missed += 1
    assert missed > 20
