"""``verify``, ``show``, ``feed`` and ``close`` before a logbook that was changed, cut or emptied behind their backs."""

import sqlite3
from pathlib import Path

import pytest

from tests.shell.running import Ran, called, one_line

HEAD = "# volume: 1.2 L +- 5 %\n# source: hose off\n# gauge step: 0.1 mbar\ngauge [mbar],air [degC]\n"


def _rows(first: int, last: int, fall_mbar: float) -> str:
    return "".join(f"{500 - fall_mbar * n:.1f},21.0\n" for n in range(first, last))


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    """A logbook with a hold that runs and falls by 30 mbar; its rows are stamped as they come."""
    path = tmp_path / "bench.logbook"
    fed = called("feed", "--build", "Desk loop", "--new", text=HEAD + _rows(0, 150, 0.2), logbook=path)
    assert fed.lines[-1] == "stored 150"
    return path


def _edit(path: Path, *statements: str) -> None:
    """Change the file as somebody could who knows it: drop the guards, change, make them as they were."""
    connection = sqlite3.connect(path)
    triggers = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in triggers:
        connection.execute(f'DROP TRIGGER "{name}"')
    for statement in statements:
        assert connection.execute(statement).rowcount > 0
    for _, sql in triggers:
        connection.execute(sql)
    connection.commit()
    connection.close()


def _last(ran: Ran) -> str:
    (pair,) = [line.removeprefix("last digest: ") for line in ran.lines if line.startswith("last digest: ")]
    return pair


def test_a_falling_gauge_cannot_be_made_a_steady_one(logbook: Path) -> None:
    """It was possible: the readings of a running hold were sealed by nothing, and a fail became a pass."""
    _edit(
        logbook,
        "UPDATE sample SET pressure_pa = 50000, typed = '500.0,21.0'",
    )
    verified = called("verify", logbook=logbook)
    assert (verified.status, verified.lines[-1]) == (1, "verdict: NOT SOUND")
    for arguments in (("show", "Desk loop"), ("end-hold", "Desk loop")):
        refused = called(*arguments, logbook=logbook)
        assert refused.status == 2
        assert "the readings of this hold cannot be judged: entry " in one_line(refused.err)
        assert "which it seals, were changed" in refused.err
    more = called("feed", "--build", "Desk loop", text=HEAD + _rows(150, 152, 0.2), logbook=logbook)
    assert (more.status, more.lines) == (2, [])
    assert "cannot be judged" in one_line(more.err)


def test_verify_tells_how_many_readings_have_no_seal_yet(logbook: Path) -> None:
    assert not any("not sealed yet" in line for line in called("verify", logbook=logbook).lines)
    # what a killed program leaves: the last seal is gone, and with it the protection of what it covered
    _edit(
        logbook,
        "DELETE FROM sample WHERE n > 150 - 0 OR n = 150",
        "DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry)",
    )
    verified = called("verify", logbook=logbook)
    assert verified.status == 0
    told = [line for line in verified.lines if line.startswith("not sealed yet: ")]
    assert len(told) == 1
    assert 'readings of "Desk loop"; a change to what has no seal can stay unseen' in told[0]


def test_a_cut_tail_is_found_with_the_pair_that_show_printed(logbook: Path) -> None:
    pair = _last(called("show", "Desk loop", logbook=logbook))
    assert pair == _last(called("verify", logbook=logbook))
    number, _, digest = pair.partition(":")
    assert number.isdigit()
    assert len(digest) == 64
    sound = called("verify", "--last", pair, logbook=logbook)
    assert (sound.status, sound.lines[-1]) == (0, "verdict: sound")
    note = called("note", "Desk loop", "the needle sticks", logbook=logbook)
    assert note.status in (0, 2)
    assert called("verify", "--last", pair, logbook=logbook).status == 0
    _edit(logbook, f"DELETE FROM entry WHERE seq >= {number}")
    without = called("verify", logbook=logbook)
    assert without.status == 0, "nothing inside the file can show it"
    cut = called("verify", "--last", pair, logbook=logbook)
    assert (cut.status, cut.lines[-1]) == (1, "verdict: NOT SOUND")
    assert f"problem: entry {number}: " in cut.out


def test_a_series_that_no_hold_owns_is_not_sound(logbook: Path) -> None:
    """Readings of nobody in the file make it unsound."""
    _edit(logbook, "INSERT INTO series (id, name) VALUES (77, 'nobody')")
    empty = called("verify", logbook=logbook)
    assert (empty.status, empty.lines[-1]) == (1, "verdict: NOT SOUND")
    assert 'problem: the series "nobody" with 0 samples belongs to no hold' in empty.lines
    _edit(logbook, "INSERT INTO sample (series, n, elapsed_s, wall_ms, typed) VALUES (77, 1, 0.0, 1, 'x')")
    alien = called("verify", logbook=logbook)
    assert (alien.status, alien.lines[-1]) == (1, "verdict: NOT SOUND")
    assert 'problem: the series "nobody" with 1 samples belongs to no hold' in alien.lines


@pytest.mark.parametrize(
    "edit",
    [
        "UPDATE sample SET pressure_pa = pressure_pa - 100 WHERE n = 70",
        "DELETE FROM sample WHERE n = 150",
        "INSERT INTO sample SELECT series, 151, elapsed_s + 1, wall_ms + 1000, pressure_pa, air_k, barometer_pa, typed"
        " FROM sample WHERE n = 150",
    ],
)
def test_a_verdict_on_readings_that_were_changed_after_it_is_not_shown(logbook: Path, edit: str) -> None:
    """Where verify says that the record is not sound, show gives no stored verdict either."""
    called("end-hold", "Desk loop", logbook=logbook)
    before = called("show", "Desk loop", logbook=logbook)
    assert before.status == 0
    assert any(line.startswith("hold 1: ") and ", ended " in line for line in before.lines)
    _edit(logbook, edit)
    assert called("verify", logbook=logbook).status == 1
    shown = called("show", "Desk loop", logbook=logbook)
    assert (shown.status, shown.lines) == (2, [])
    assert "hold 1" in one_line(shown.err)
    assert "run commission verify and restore a backup" in shown.err


@pytest.mark.parametrize(
    "pair", ["", "5", "5:", ":abc", "0:" + "a" * 64, "5:" + "a" * 63, "5:" + "g" * 64, "-5:" + "a" * 64]
)
def test_a_pair_that_is_none_is_refused_in_one_line(logbook: Path, pair: str) -> None:
    refused = called("verify", "--last", pair, logbook=logbook)
    assert refused.status == 2
    assert "copy the pair that show prints" in refused.err


def test_an_emptied_file_is_not_sound(logbook: Path) -> None:
    pair = _last(called("verify", logbook=logbook))
    logbook.write_bytes(b"")
    emptied = called("verify", logbook=logbook)
    assert emptied.status == 2
    assert "is empty: it holds no entry; if it held some before, restore a backup" in one_line(emptied.err)
    with_pair = called("verify", "--last", pair, logbook=logbook)
    assert (with_pair.status, with_pair.lines[-1]) == (1, "verdict: NOT SOUND")


def test_a_logbook_whose_rows_were_all_deleted_is_not_sound(logbook: Path) -> None:
    _edit(logbook, "DELETE FROM entry", "DELETE FROM sample", "DELETE FROM series")
    emptied = called("verify", logbook=logbook)
    assert emptied.status == 2
    assert "it holds no entry" in one_line(emptied.err)
