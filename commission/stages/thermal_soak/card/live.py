"""A soak that is read by itself while its screen is there: from the board, or from a thermometer on a serial port."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.clock import elapsed_between
from commission.base.errors import CommissionError, InputError
from commission.bench.ask import command
from commission.bench.deed import Deed
from commission.bench.live_feed import LiveFeed, LiveRows, gauge_lines
from commission.bench.live_rows import live_instrument
from commission.record.machine.instrument import InstrumentKind
from commission.stages.thermal_soak.files.live_table import EVERY_S, LiveTable
from commission.stages.thermal_soak.text import reading_text
from commission.stages.thermal_soak.work.refused import refuse_duties

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.bench.at_hand import StageAtHand
    from commission.bench.live_feed import Arrived, Reader
    from commission.stages.thermal_soak.work.soaks import Soaks

BOARD = "board warm=T1, air=T2, component cpu=Tctl"
"""How the board is chosen: which of its sensors is what."""


class LiveSoak(LiveRows):
    """Takes readings that come by themselves, each stored at the time of its arrival."""

    def __init__(self, hand: StageAtHand[Soaks]) -> None:
        super().__init__()
        self.hand = hand
        self.last = ""
        """The last reading that was stored."""
        self._table: LiveTable | None = None

    def begin_deed(self, text: str) -> Deed:
        """Return what reading the board or a thermometer does; raises where it cannot be meant."""
        word, rest = command(text, ("board",))
        if word and rest:
            name, source = "the board", _board_source(rest)
        elif word or not text:
            raise InputError(f"type live and the thermometer's name, or which sensor is what: live {BOARD}")
        else:
            name, source = self._gauge_source(text)
        told = f"read {name} now, then each {EVERY_S:g} s, as long as this screen is there; no duty is ever set"

        def do() -> str:
            self.end()
            self.told, self.last, self._table = "", "", None
            self._feed = LiveFeed(name, source, self.hand.book.clock.now)
            return ""

        return Deed(told=told, do=do)

    def _gauge_source(self, text: str) -> tuple[str, Callable[[Reader], Iterator[bytes]]]:
        words = text.split()
        side = words[-1].casefold() if words[-1].casefold() in ("warm", "cool") else "warm"
        named = " ".join(words[:-1]) if len(words) > 1 and words[-1].casefold() == side else text
        one = live_instrument(named, self.hand.book.shop().instruments)
        if one.kind is not InstrumentKind.THERMOMETER:
            raise InputError(f"{one.name} is a {one.kind}; a soak is read with a thermometer")
        return one.name, gauge_lines(one, f"{side} [{one.unit}]", EVERY_S)

    def end_deed(self) -> Deed:
        """Return what ending it does; raises where nothing is read."""
        return self.ending(
            "read nothing by itself from now on; readings are typed", "nothing is read live; type live first"
        )

    def store(self, arrived: Arrived) -> None:
        """Store a row, or say why it is none; the header row comes first."""
        try:
            if self._table is None:
                table = LiveTable(arrived.line)
                self.hand.refresh()
                refuse_duties(self.hand.state, table.probe)
                self._table = table
                return
            self.hand.refresh()
            since_s = elapsed_between(arrived.mark, self.hand.book.clock.now()).elapsed_s
            at_s = max(0.0, self.hand.work.elapsed_s(self.hand.state) - since_s)
            reading = self._table.reading(at_s, arrived.line)
            self.hand.work.read(self.hand.build_id, (reading,))
        except CommissionError as error:
            self.told = f"not stored: {error}"
            if self._table is None:  # no row of such a table can be read
                self.end()
            return
        self.told, self.last = "", reading_text(reading).partition(", flow ")[0]

    def standing(self, name: str) -> str:
        """Return how the source stands, and what it gave last."""
        said = self.told or (f"last {self.last}" if self.last else "waits for its first line")
        return f"{name[0].upper()}{name[1:]} is read live: {said}."


def _board_source(names: str) -> Callable[[Reader], Iterator[bytes]]:
    """Return a source: the temperatures of the board; raises where a sensor that is named is not there."""
    from commission.bootstrap import hwmon_board
    from commission.stages.thermal_soak.files.board_rows import board_lines

    board = hwmon_board()
    LiveTable(next(board_lines(board.read, names, every_s=EVERY_S, count=1)))
    return lambda reader: board_lines(board.read, names, every_s=EVERY_S, count=None, sleep=reader.wait)
