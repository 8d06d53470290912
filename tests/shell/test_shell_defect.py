"""What went wrong, on the command line: recorded from any stage, repaired, and shown."""

from pathlib import Path

import pytest

from commission.procedure.model import When
from commission.record.locks import proved
from commission.record.logbook import Logbook
from commission.record.machine.proof import Proof
from commission.record.mishap import WentWrong
from commission.stages.first_power.work.first_power import FirstPower
from tests.fakes import HandClock
from tests.power_builds import supplied_build
from tests.registered import open_logbook
from tests.shell.running import called
from tests.wet_builds import answer, filled_build


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """A logbook with a filled build."""
    path, clock = tmp_path / "bench.db", HandClock()
    book = open_logbook(path, clock=clock).book
    filled_build(book, clock, name="Desk loop")
    book.close()
    return path


def _noted(book: Logbook) -> list[WentWrong]:
    entries = book.entries(book.find_build("Desk loop"))
    return [entry.payload for entry in entries if isinstance(entry.payload, WentWrong)]


def test_a_leak_prints_what_to_do_first_and_takes_hold_and_fill(log: Path) -> None:
    done = called("defect", "Desk loop", "leak", "drips", "--where", "lower port", logbook=log)
    assert done.status == 0
    assert done.lines[0].startswith("Someone hurt")
    assert [line[:2] for line in done.lines[1:4]] == ["1:", "2:", "3:"]
    assert "pressure hold: stale, was passed" in done.lines
    assert "fill: locked, was passed" in done.lines
    shown = called("show", "Desk loop", logbook=log)
    assert "defect: leak, lower port: drips; not repaired yet" in shown.lines


def test_a_joint_that_is_wet_in_the_leak_watch_is_the_leak_that_its_card_would_write_down(tmp_path: Path) -> None:
    log, clock = tmp_path / "bench.db", HandClock()
    book = open_logbook(log, clock=clock).book
    build = supplied_build(book, clock, "Desk loop")
    answer(book, build, book.work(FirstPower), When.BEFORE_PUMP)
    book.work(FirstPower).start_pump(build, ("block in", "block out", "radiator"))
    book.close()
    for _ in range(2):  # wet again is the same leak, which one repair closes
        assert called("power", "look", "Desk loop", "block in wet # a drop", logbook=log).status == 1
    again = called("power", "off", "Desk loop", "sinking quiet", logbook=log)
    assert (again.status, "outcome: fail" in again.lines) == (1, True)
    shown = called("show", "Desk loop", logbook=log)
    assert "defect: leak, block in: a drop; not repaired yet" in shown.lines
    book = open_logbook(log).book
    state = book.build(book.find_build("Desk loop"))
    book.close()
    assert [proved(state, one) for one in (Proof.TIGHT, Proof.FILLED)] == [False, False]
    assert called("repaired", "Desk loop", "pump top o-ring replaced", logbook=log).status == 0


def test_what_was_done_is_recorded_by_either_word(log: Path) -> None:
    for what, place in (("leak", "lower port"), ("smoke", "supply")):
        called("defect", "Desk loop", what, "seen", "--where", place, logbook=log)
    several = called("repaired", "Desk loop", "new seal", logbook=log)
    assert several.status == 2
    assert "several defects are open" in several.err
    number = several.err.rpartition("one of ")[2].partition(" ")[0]
    assert called("repaired", "Desk loop", "new seal", "--defect", number, logbook=log).status == 0
    assert called("repaired", "Desk loop", "another supply", logbook=log).status == 0
    shown = called("show", "Desk loop", logbook=log).out
    assert "leak, lower port: seen; repaired: new seal" in shown
    assert "smoke, supply: seen; repaired: another supply" in shown
    none = called("repaired", "Desk loop", "x", logbook=log)
    assert (none.status, "no defect is open" in none.err) == (2, True)


def test_a_spill_from_the_bottle_takes_nothing_and_asks_no_repair(log: Path) -> None:
    done = called(
        *("defect", "Desk loop", "spill", "a puddle", "--where", "bench", "--amount", "5 mL", "--from-bottle"),
        logbook=log,
    )
    assert done.status == 0
    assert not [line for line in done.lines if "was passed" in line or line.startswith("next:")]
    book = open_logbook(log).book
    (noted,) = _noted(book)
    book.close()
    assert noted.amount is not None
    assert (noted.amount.typed, noted.from_bottle) == ("5 mL", True)


@pytest.mark.parametrize(
    ("more", "why"),
    [
        (["leak", " ", "--where", "port"], "what was seen"),
        (["leak", "drips", "--where", "port", "--from-bottle"], "only coolant that was spilled"),
        (["leak", "drips", "--where", "port", "--amount", "5 bar"], "a value of volume is asked for"),
        (["spill", "drips", "--where", "port", "--amount", "0 mL"], "leave it out where nobody knows"),
    ],
)
def test_what_says_too_little_is_one_line_and_nothing_is_stored(log: Path, more: list[str], why: str) -> None:
    done = called("defect", "Desk loop", *more, logbook=log)
    assert done.status == 2
    assert why in done.err
    assert len(done.err.splitlines()) == 1
    book = open_logbook(log).book
    assert _noted(book) == []
    book.close()
