"""A hold that a gauge on a serial port is read into while its screen is there: the rows of ``feed --live``."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from commission.base.errors import CommissionError, InputError
from commission.bench.deed import Deed
from commission.bench.live_feed import LiveFeed, LiveRows, gauge_lines
from commission.bench.live_rows import EVERY_S, live_instrument
from commission.record.machine.instrument import InstrumentKind
from commission.stages.pressure_hold.files.placed import Already, Places
from commission.stages.pressure_hold.files.rows import Sample
from commission.stages.pressure_hold.files.stream import HoldStream

if TYPE_CHECKING:
    from commission.bench.live_feed import Arrived
    from commission.stages.pressure_hold.at_hand import HoldAtHand

HEADED = {InstrumentKind.GAUGE: "gauge", InstrumentKind.ABSOLUTE_GAUGE: "absolute"}
"""Gauges that a hold is read with, and how their column is headed."""


class LiveHold(LiveRows):
    """Takes the rows of a gauge into the running hold, each stored at the time of its arrival."""

    def __init__(self, hand: HoldAtHand) -> None:
        super().__init__()
        self.hand = hand
        self.stored = 0
        """Rows that were stored since it was begun."""
        self._stream = HoldStream()
        self._places: Places | None = None

    @property
    def offered(self) -> str:
        """A gauge that prints lines and fits this hold; empty where none does, or one is read."""
        kind = self.hand.plan.gauge.kind
        fit = (one.name for one in self.hand.book.shop().instruments if one.port and one.pattern and one.kind is kind)
        return "" if self.on else next(fit, "")

    def begin_deed(self, text: str) -> Deed:
        """Return what reading a gauge does; raises where none of that name prints lines, or it does not fit."""
        one = live_instrument(text, self.hand.book.shop().instruments)
        if one.kind is not self.hand.plan.gauge.kind:
            raise InputError(f"{one.name} is a {one.kind}; this hold is read with a {self.hand.plan.gauge.kind}")
        told = f"read {one.name} on {one.port}, a row each {EVERY_S:g} s, as long as this screen is there"

        def do() -> str:
            self.end()
            self.told, self.stored, self._stream, self._places = "", 0, HoldStream(), None
            source = gauge_lines(one, f"{HEADED[one.kind]} [{one.unit}]", EVERY_S)
            self._feed = LiveFeed(one.name, source, self.hand.book.clock.now)
            return ""

        return Deed(told=told, do=do)

    def end_deed(self) -> Deed:
        """Return what ending it does; raises where nothing is read."""
        return self.ending(
            "read no gauge from now on; readings are typed", "no gauge is read live; type live and its name first"
        )

    def ended(self) -> str:
        """End it, and return how many rows came."""
        self.end()
        return f"{self.stored} rows were stored; type the readings"

    def end(self) -> None:
        """Let the port go, and seal what came."""
        was_on = self.on
        super().end()
        if was_on and self.stored:
            with suppress(CommissionError):  # the logbook may be let go already: then they stay a tail without a seal
                self.hand.work.seal_stream(self.hand.build_id)

    def store(self, arrived: Arrived) -> None:
        """Store a row, or say why it is none; the header row comes first."""
        try:
            row = self._stream.push(arrived.line)
            if not isinstance(row, Sample):
                return
            if self._places is None:
                self._places = Places(self.hand.book, self.hand.build_id, self._tell, fresh=False)
            placed = self._places.place(row, self._stream.line, arrived.mark)
            if isinstance(placed, Already):
                return
            self.hand.work.stream(self.hand.build_id, [placed], header=self._stream.header_text)
            self._places.stored(placed)
        except CommissionError as error:
            self.told = f"not stored: {error}"
            return
        self.stored, self.told = self.stored + 1, ""

    def _tell(self, told: str) -> None:
        self.told = told

    def standing(self, name: str) -> str:
        """Return how the gauge stands, and what it gave."""
        told = self.told or ("waits for its first line" if not self.stored else "well")
        return f"{name} is read live, {self.stored} rows stored: {told}."
