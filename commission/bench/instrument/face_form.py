"""Asks of a gauge whether it has digits or a needle, how finely a dial is read, and whether it is tapped."""

from collections.abc import Callable
from typing import Unpack

from commission.base.errors import CommissionError
from commission.bench.ask import Question, asked_once
from commission.bench.deed import Deed
from commission.bench.figures import instrument_line, instrument_step
from commission.bench.instrument.typed import with_face, with_marks, with_tapping
from commission.bench.prompt import AskedSo
from commission.record.machine.instrument import GaugeFace, Instrument, InstrumentKind
from commission.units.worded import worded

GAUGES = (InstrumentKind.GAUGE, InstrumentKind.ABSOLUTE_GAUGE)


def needs_face(instrument: Instrument) -> bool:
    """Return whether anything must be asked: a display that is known to be digital has no needle to lag."""
    return instrument.kind in GAUGES and instrument.face is not GaugeFace.DIGITAL


class FaceForm:
    """A few questions about one gauge; ``done`` once ``gauge`` is whole, and stored where ``store`` is given."""

    def __init__(self, gauge: Instrument, store: Callable[[Instrument], object] | None = None) -> None:
        self._start = gauge
        self._store = store
        self.gauge = gauge
        self._answers: list[Instrument] = []

    @property
    def done(self) -> bool:
        """Whether everything is answered."""
        if self.gauge.face is GaugeFace.DIGITAL:
            return True
        return len(self._answers) == (3 if self._start.face is GaugeFace.UNKNOWN else 2)

    def back(self) -> bool:
        """Take the last answer back; False where there is none."""
        if not self._answers:
            return False
        self.gauge = self._answers.pop()
        return True

    def question(self) -> Question:
        """Return what is asked now."""
        step = len(self._answers) + (self._start.face is not GaugeFace.UNKNOWN)
        return (self._face, self._marks, self._tapped)[step]()

    def _face(self) -> Question:
        return self._ask(
            with_face,
            lambda changed: str(changed.face),
            key="gauge face",
            ask="Has the gauge digits or a needle? An untapped needle lags.",
            hint="digital · dial",
        )

    def _marks(self) -> Question:
        return self._ask(
            with_marks,
            instrument_line,
            key="gauge marks",
            ask="How far apart are two marks of the dial? Is it read to the mark, or to a quarter?",
            hint=worded("such as: 20 mbar mark · 20 mbar quarter"),
            proposal=f"{instrument_step(self.gauge)} mark",
        )

    def _tapped(self) -> Question:
        return self._ask(
            with_tapping,
            instrument_line,
            key="gauge tapped",
            ask="Do you tap the dial before each reading?",
            hint="yes · no (then the bounds are wider by one division)",
        )

    def _ask(
        self,
        change: Callable[[Instrument, str], Instrument],
        told: Callable[[Instrument], str],
        **prompt: Unpack[AskedSo],
    ) -> Question:
        def deed(text: str) -> Deed:
            changed = change(self.gauge, text)
            return Deed(told=told(changed), do=lambda: self._take(changed))

        return asked_once(deed, **prompt)

    def _take(self, changed: Instrument) -> str:
        self._answers.append(self.gauge)
        self.gauge = changed
        if not self.done or self._store is None:
            return ""
        try:
            self._store(changed)
        except CommissionError:
            self.back()
            raise
        return f"{changed.name}: {instrument_line(changed)}"
