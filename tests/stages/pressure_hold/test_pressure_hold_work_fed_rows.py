"""A row that was fed to a running hold by mistake is withdrawn: it counts no longer, and the verdict tells it.

The slips are as those of ``undo``: one mistyped row costs no pass, rows that fall as a leak makes them do.
"""

import csv
from pathlib import Path

import pytest

from commission.base.errors import NotAllowed
from commission.base.verdict import Outcome
from commission.record.logbook import Logbook
from commission.record.logged import Sample
from commission.stages.pressure_hold.entries import Ending
from commission.stages.pressure_hold.state.attempt import hold_of
from commission.stages.pressure_hold.work.fed_rows import FedRows
from commission.stages.pressure_hold.work.holds import Holds
from tests.fakes import HandClock, new_book
from tests.holds import ready_build, start_hold
from tests.shell.arriving import Arriving
from tests.shell.running import Ran, called


def fed(*mbar: float) -> tuple[Logbook, HandClock, str]:
    """Return a book in which a hold runs, with a row each five minutes, that of now the last."""
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    for place, one in enumerate(mbar):
        clock.run(300 if place else 0)
        row(book, clock, build, 300.0 * place, one)
    return book, clock, build


def row(book: Logbook, clock: HandClock, build: str, elapsed_s: float, mbar: float) -> None:
    """Feed one row."""
    sample = Sample(
        elapsed_s=elapsed_s, wall_ms=clock.wall_ms, pressure_pa=100 * mbar, air_k=294.15, barometer_pa=None, typed="x"
    )
    book.work(Holds).stream(build, [sample])


@pytest.mark.parametrize(
    ("mbar", "gone", "outcome", "code"),
    [
        ((500, 500, 50, 500, 500, 500, 500), (), Outcome.INVALID, ""),
        ((500, 500, 50, 500, 500, 500, 500), (3,), Outcome.PASS, ""),
        ((500, 500, 500, 500, 500, 490, 480, 500), (6, 7), Outcome.INCONCLUSIVE, "withdrawn_below"),
        ((500, 500, 500, 500, 500, 500, 500, 490), (8,), Outcome.INCONCLUSIVE, "last_reading_withdrawn"),
    ],
    ids=["a slip", "the slip withdrawn", "a fall withdrawn", "the last withdrawn"],
)
def test_a_row_that_is_withdrawn_counts_no_longer_and_the_verdict_tells_it(
    mbar: tuple[float, ...], gone: tuple[int, ...], outcome: Outcome, code: str
) -> None:
    book, _, build = fed(*mbar)
    for number in gone:
        book.work(FedRows).withdraw(build, number, "mistyped")
    verdict = book.work(Holds).close(build, Ending.PLANNED)
    codes = [reason.code for reason in verdict.reasons]
    assert verdict.outcome is outcome
    assert ("readings_withdrawn" in codes) is bool(gone)
    assert not code or codes[0] == code


def test_a_row_is_withdrawn_once_with_a_reason_while_its_hold_runs_and_never_the_first() -> None:
    book, _, build = fed(500, 50, 500)
    rows, head = book.work(FedRows), book.head()
    for number, reason, said in ((1, "x", "first row"), (4, "x", "there is no row 4"), (2, " ", "needs a reason")):
        with pytest.raises(NotAllowed, match=said):
            rows.withdraw(build, number, reason)
    assert book.head() == head
    done = rows.withdraw(build, 2, "mistyped")
    with pytest.raises(NotAllowed, match="row 2 was withdrawn already"):
        rows.withdraw(build, 2, "mistyped")
    with pytest.raises(NotAllowed, match="cannot be withdrawn"):
        book.withdraw(done.seq, "it was right after all")
    assert hold_of(book.build(build)).rows_gone == {2}
    book.work(Holds).close(build, Ending.ABANDONED)
    with pytest.raises(NotAllowed, match="no hold is running"):
        rows.withdraw(build, 3, "mistyped")


def test_the_shell_withdraws_a_row_and_the_record_goes_along_whole(tmp_path: Path, arriving: Arriving) -> None:
    path = tmp_path / "bench.logbook"
    head = "# volume: 1.2 L +- 5 %\n# source: hose off\n# gauge step: 0.1 mbar\nelapsed [s],gauge [mbar],air [degC]\n"

    def feed(*rows: str, new: tuple[str, ...] = ()) -> Ran:
        return called("feed", "--build", "Oak", *new, text=head + "".join(f"{one}\n" for one in rows), logbook=path)

    assert feed("0,500.0,21.0", "300,500.0,21.0", "600,50.0,21.0", new=("--new", "--hold", "30 min")).status == 0
    done = called("withdraw-row", "Oak", "3", "--reason", "typed 50 for 500", logbook=path)
    assert (done.status, done.lines[-1]) == (0, "withdrawn: row 3 of the hold")
    same, other = feed("600,50.0,21.0"), feed("600,500.0,21.0")
    assert (same.status, same.lines, "row 3 was withdrawn and does" in same.err) == (0, ["already stored 3"], True)
    assert (other.status, "row 3 of that time was withdrawn" in other.err) == (2, True)
    assert feed("601,500.0,21.0", *(f"{300 * place},500.0,21.0" for place in range(3, 10))).lines[0] == "stored 4"
    shown = called("show", "Oak", logbook=path).lines
    assert "hold 1 readings: 0 typed, 11 fed, 1 of them withdrawn" in shown
    assert any("Withdrawn, not counted: 50 mbar at 10 min" in line for line in shown)
    assert called("end-hold", "Oak", logbook=path).status == 0
    bundle = tmp_path / "all.jsonl"
    assert called("export", str(bundle), logbook=path).status == 0
    assert called("import", str(bundle), logbook=tmp_path / "other.logbook").status == 0  # where it is judged again
    assert called("export", "--tables", str(tmp_path / "tables"), logbook=path).status == 0
    with (tmp_path / "tables" / "readings.csv").open(encoding="utf-8", newline="") as file:
        marked = [one["gauge_mbar"] for one in csv.DictReader(file) if one["withdrawn_by"]]
    assert [float(one) for one in marked] == [50.0]
