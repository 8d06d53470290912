"""Every entry about headers, chains and sweeps says what it is about, in one line."""

from typing import get_args

import pytest

from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.record.machine.seats import Drive, Feed, StopCause
from commission.record.payload import Payload
from commission.stages.fan_headers.entries import (
    ChainAdded,
    ChainMoved,
    ChainRemoved,
    DutyNoted,
    HeaderAdded,
    HeaderRemoved,
    HeadersClosed,
    HeadersEntry,
    HeaderSet,
    LayoutChosen,
    LevelSwept,
    SweepAborted,
    SweepBegun,
    SweepSource,
    SweepTaken,
)
from commission.stages.fan_headers.judge.sweep import evaluate_fan_headers
from commission.stages.fan_headers.model.all_chains import ChainStanding, HeadersVerdict
from commission.stages.fan_headers.model.duties import DutyLeft
from commission.stages.fan_headers.model.layout import Layout, Seat
from commission.stages.fan_headers.model.sweep import SweepReading, SweepSetup
from commission.stages.fan_headers.text import names_in
from commission.stages.fan_headers.work.fan_headers import FanHeaders
from tests.fakes import new_book
from tests.holds import ready_build
from tests.power_builds import chain, falling, header, plugged, pump
from tests.registered import tell

NAMES = {"h1": "SYS 1", "c1": "front"}
SWEPT = SweepTaken(
    chain_id="c1", header_id="h1", source=SweepSource.LIVE, sweep=falling(), setup=SweepSetup(),
    verdict=evaluate_fan_headers(falling(), SweepSetup()), program="test",
)  # fmt: skip

TOLD = [
    (HeaderAdded(header=header("SYS 1")), "SYS 1, 4 pins, 1000 mA, pwm or voltage, set to pwm"),
    (
        HeaderAdded(header=header("P", rating_assumed=True, modes=(Drive.PWM,), set_to=None, full_speed_lock=True,
                                  stops=(StopCause.FAN_STOP,), place="lower edge")),
        "P, lower edge, 4 pins, 1000 mA (assumed), pwm, setting not known, locked at full speed; "
        "can stop a pump: an automatic fan stop",
    ),
    (
        HeaderSet(header_id="h1", set_to=Drive.VOLTAGE, full_speed_lock=False, stops=(), why="three wires"),
        "SYS 1: set to voltage (three wires)",
    ),
    (HeaderRemoved(header_id="h1", reason="its pin broke"), "SYS 1: its pin broke"),
    (
        ChainAdded(chain=chain("front", zone="radiator")),
        "front, 3 devices, 4-wire, pwm, 600 mA steady, 900 mA at start, number 1 reports, radiator",
    ),
    (
        # start by twice the steady current where the label gives none
        ChainAdded(chain=replace(chain("rear", 1, start_ma=None), reports=None, feed=Feed.HUB)),
        "rear, 1 device, 4-wire, pwm, 200 mA steady, 400 mA at start (default factor), fed from a powered hub, "
        "none reports",
    ),
    (
        ChainAdded(chain=pump()),
        "pump, pump, 4-wire, pwm, 800 mA steady, 900 mA at start, number 1 reports, at full speed",
    ),
    (ChainRemoved(chain_id="c1", reason="split in two"), "front: split in two"),
    (ChainMoved(chain_id="c1", header_id="h1", why="quieter"), "front on SYS 1 (quieter)"),
    (
        ChainMoved(chain_id="c1", header_id="h1", why="", start_overridden="short runs"),
        "front on SYS 1; start current overridden: short runs",
    ),
    (ChainMoved(chain_id="c1", header_id=None, why=""), "front unplugged"),
    (ChainMoved(chain_id="c9", header_id="h9", why=""), "a chain on a header"),
    (SweepBegun(chain_id="c1", header_id="h1", source=SweepSource.TYPED, step_rpm=1), "front on SYS 1: typed"),
    (
        LevelSwept(readings=(SweepReading(duty_pct=80, rpm=1254), SweepReading(duty_pct=80, rpm=None))),
        "80 %: 1254 rpm, no reading",
    ),
    (SweepAborted(chain_id="c1", reason="begun by mistake"), "front: begun by mistake"),
    (SWEPT, "front on SYS 1: pass, controlled; 22 readings, read live"),
    (
        LayoutChosen(layout=Layout(cost=25, seats=(Seat(chain="front", header="SYS 1"),), loads=()), why="short"),
        "front on SYS 1 (short)",
    ),
    (
        DutyNoted(chain_id="c1", left=DutyLeft(chain="front", zone="", duty_pct=40, rpm=None, full_rpm=1500)),
        "front left at 40 %",
    ),
    (
        DutyNoted(chain_id="c1", left=DutyLeft(chain="front", zone="", duty_pct=42.5, rpm=640, full_rpm=1500)),
        "front left at 42.5 %, 640 rpm",
    ),
    (
        HeadersClosed(
            attempt=3, program="test",
            verdict=HeadersVerdict(
                outcome=Outcome.FAIL, reasons=(),
                chains=(
                    ChainStanding(chain="front", header="SYS 1", outcome=Outcome.FAIL, said="ignores control"),
                    ChainStanding(chain="rear", header="", outcome=None, said="not plugged in"),
                ),
            ),
        ),
        "attempt 3: fail; front on SYS 1: ignores control; rear on no header: not plugged in",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("payload", "told"), TOLD, ids=lambda value: str(getattr(value, "KIND", "")) or None)
def test_an_entry_about_headers_tells_its_figures(payload: Payload, told: str) -> None:
    assert tell(payload, names=NAMES) == told


def test_every_kind_of_entry_about_headers_is_among_them() -> None:
    assert {type(payload) for payload, _ in TOLD} == set(get_args(HeadersEntry))


def test_without_names_an_entry_still_says_what_was_done() -> None:
    assert tell(HeaderRemoved(header_id="h1", reason="its pin broke")) == "its pin broke"
    assert tell(ChainMoved(chain_id="c1", header_id=None, why="")) == "a chain unplugged"
    assert tell(SWEPT).startswith("pass, controlled")


def test_names_are_found_even_where_header_and_chain_are_gone() -> None:
    book, _, _ = new_book()
    build = ready_build(book)
    plugged(book, build)
    book.work(FanHeaders).seats.remove_header(build, "SYS 1", "its pin broke")
    book.work(FanHeaders).seats.remove_chain(build, "front", "sold")
    assert names_in(book.entries(build)) == {"SYS 1": "SYS 1", "SYS 2": "SYS 2", "front": "front"}
    moved = next(entry for entry in book.entries(build) if isinstance(entry.payload, ChainMoved))
    assert tell(moved.payload, names=names_in(book.entries(build))) == "front on SYS 1"
