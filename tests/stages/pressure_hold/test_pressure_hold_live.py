"""A gauge that is read on the screen of a hold: begun and ended by a word, its rows at the time of their arrival."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.instruments import serial_port
from commission.record.logbook import Logbook
from commission.stages.pressure_hold.card import live
from commission.stages.pressure_hold.card.hold import HoldFlow
from tests.fakes import new_book
from tests.holds import GAUGE, THERMOMETER, ready_build, start_hold
from tests.instruments.pty_gauge import Gauge

LINE = "P={} mbar T={air [degC]}"


def _running(port: str) -> tuple[Logbook, Callable[[float], None], HoldFlow]:
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    book.add_instrument(replace(GAUGE, port=port, pattern=LINE))
    book.add_instrument(replace(THERMOMETER, port=port, pattern="T={}"))
    return book, clock.run, HoldFlow(book, build)


def _until(flow: HoldFlow, done: Callable[[], bool]) -> None:
    """Look until something is so; the thread that reads needs a moment."""
    for _ in range(1000):
        flow.look()
        if done():
            return
        time.sleep(0.005)
    raise AssertionError(flow.content().notices)


def test_rows_are_stored_as_they_arrive_until_hand_is_typed(monkeypatch: pytest.MonkeyPatch) -> None:
    came: list[str] = []

    def lines(_name: str, _speed: int, _tell: object, *, sleep: Callable[[float], None]) -> Iterator[str]:
        while True:
            yield came.pop(0) if came else ""
            sleep(0.001)

    monkeypatch.setattr("commission.bootstrap.serial_lines", lines)
    monkeypatch.setattr(live, "EVERY_S", 0.0)
    book, run, flow = _running("/dev/gauge 9600")
    running = flow.running
    asked = flow.question()
    assert asked is not None
    assert f"live {GAUGE.name}" in asked.prompt.hint
    with pytest.raises(InputError, match="this hold is read with a gauge"):
        flow.answer(f"live {THERMOMETER.name}")
    with pytest.raises(InputError, match="no gauge is read live"):
        flow.answer("hand")
    flow.answer(f"live {GAUGE.name}")
    run(60)
    came += ["P=497.5 mbar T=21.3", "P=9999999 mbar T=21"]  # the second is above the gauge's range
    _until(flow, lambda: running.live.told.startswith("not stored: "))
    run(30)
    came.append("P=497.4 mbar T=21.3")
    _until(flow, lambda: running.live.stored == 2)
    assert flow.content().remarks[0] == f"{GAUGE.name} is read live, 2 rows stored: well."
    flow.answer("497.4 21.3")  # a typed reading goes in beside them
    flow.answer("hand")
    stored = book.log.samples(flow.hand.hold.series)
    # 497.5 mbar are 49 750 Pa, 21.3 °C 294.45 K
    assert [*stored.elapsed_s, *stored.pressure_pa, stored.air_k[0]] == pytest.approx([60, 90, 49_750, 49_740, 294.45])
    assert not running.live.remark()
    assert book.verify() == []


def test_over_a_cable_a_lost_port_is_told_and_found_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("serial", reason="the extra serial is not installed")
    monkeypatch.setattr(live, "EVERY_S", 0.0)
    monkeypatch.setattr(serial_port, "AGAIN_S", 0.01)
    gauge = Gauge(tmp_path / "gauge")
    gauge.plug()
    book, run, flow = _running(f"{gauge.name} 9600")
    said = flow.running.live
    flow.answer(f"live {GAUGE.name}")
    for second, pressure in enumerate((497.5, 497.4)):
        run(10)
        line = f"P={pressure} mbar T=21.3\r\n".encode()

        def come(line: bytes = line, wanted: int = second + 1) -> bool:
            gauge.say(line)  # the first line after each opening is left out
            return said.stored >= wanted

        _until(flow, come)
        if not second:
            gauge.pull()
            _until(flow, lambda: said.told.endswith("is gone; looking for it each second"))
            assert any("is gone" in one for one in flow.content().notices)
            gauge.plug()
            _until(flow, lambda: said.told.endswith("is there again"))
    flow.left()
    gauge.pull()
    assert not flow.streams
    assert set(book.log.samples(flow.hand.hold.series).pressure_pa) == {49_750.0, 49_740.0}
