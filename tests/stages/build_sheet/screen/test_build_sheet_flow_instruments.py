"""The instruments of the workshop: described again under their own ids, on the screen and in the shell."""

from pathlib import Path

import pytest

from commission.base.errors import InputError
from commission.record.logbook import Logbook
from commission.record.machine.instrument import Instrument
from commission.stages.build_sheet.card.instruments import instruments_flow
from tests.fakes import new_book
from tests.shell.running import called, one_line
from tests.ui.bench import asked, led


def only(book: Logbook) -> Instrument:
    (found,) = book.shop().instruments
    return found


def test_an_instrument_is_described_again_under_its_own_id() -> None:
    book, _, _ = new_book()
    flow = instruments_flow(book)
    led(flow, ["new", "thermometer", ""])
    first = only(book)
    led(flow, [f"edit {first.name}"])
    assert "usual" not in asked(flow)
    led(flow, ["accuracy 0.2 K", "name loop probe", ""])
    again = only(book)
    assert (again.instrument_id, again.name) == (first.instrument_id, "loop probe")
    assert again.accuracy == pytest.approx(0.2)
    assert again.resolution == first.resolution


def test_leaving_the_form_of_a_known_instrument_changes_nothing() -> None:
    book, log, _ = new_book()
    flow = instruments_flow(book)
    led(flow, ["new", "thermometer", ""])
    head = log.head()
    led(flow, ["edit 1", "accuracy 0.2 K"])
    assert flow.back()
    assert not flow.back()
    assert log.head() == head
    with pytest.raises(InputError, match="no instrument in use"):
        flow.answer("edit lamp")


def test_the_shell_describes_an_instrument_again(tmp_path: Path) -> None:
    logbook = tmp_path / "bench.logbook"
    assert "no instrument" in one_line(called("instrument", "gauge", "--edit", logbook=logbook).err)
    needle, read = ("instrument", "dial gauge", "--name", "pump gauge"), ("--marks", "20 mbar mark", "--tapped", "no")
    assert "marks" in one_line(called(*needle, logbook=logbook).err)
    assert called(*needle, *read, logbook=logbook).status == 0
    edited = called("instrument", "pump gauge", "--edit", "--tapped", "yes", logbook=logbook)
    assert (edited.status, edited.lines[0].startswith("understood: pump gauge")) == (0, True)
    assert "tapped" in edited.lines[0]
    assert "already" in one_line(called(*needle, *read, logbook=logbook).err)
