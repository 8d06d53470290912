"""The loop's volume measured on air, by strokes or by a known volume; the result is shown before it is stored."""

import math
from collections.abc import Callable

from commission.base.errors import InputError
from commission.base.frozen import Frozen
from commission.base.quantity import Measured, Quantity
from commission.base.text import clip
from commission.bench.ask import Question, asked_once, asked_word
from commission.bench.card import Figure, typed_rows
from commission.bench.deed import Deed
from commission.bench.figures import faces_text, loop_volume
from commission.physics.detection import rectangular_uncertainty
from commission.physics.loop_volume import Uncertain, volume_by_reference, volume_by_strokes
from commission.record.fold import ShopState
from commission.record.logbook import Logbook
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.loop import LoopVolume
from commission.stages.build_sheet.work import Sheet
from commission.stages.pressure_hold.rows.plan import volume_rows
from commission.units.parse import parse, parse_with_uncertainty
from commission.units.worded import worded

STROKE_ERROR = 0.02
"""Half-width of a stroke's or a known volume where none is typed [1]; our choice: a syringe or a measured stroke."""
GAUGE_ERROR_PA = 500.0
"""Half-width of a gauge that is not described yet [Pa]; our choice: a quarter of a division of a dial of 1 bar."""
BAROMETER_ERROR_PA = 300.0
"""Half-width of a barometer reading that nobody vouches for [Pa]; our choice: a forecast is for another place and
height."""


class Ask(Frozen):
    """One figure of the measurement."""

    key: str
    """Short name, shown beside its value."""
    ask: str
    """The instruction."""
    hint: str
    """An example."""
    quantity: Quantity
    """What is typed."""
    proposal: str | None = None
    """What Enter takes."""


STROKES = "strokes"
REFERENCE = "reference volume"
ASKS: dict[str, tuple[Ask, ...]] = {
    STROKES: (
        Ask(
            key="one stroke",
            ask="Start with the loop open to the room, then close it. What does one stroke push in?",
            hint="60 mL, or 60 mL ± 0.5 mL",
            quantity=Quantity.VOLUME,
        ),
        Ask(
            key="strokes",
            ask="Push in some whole strokes, slowly. How many?",
            hint="5; stay below the rating of the weakest part",
            quantity=Quantity.RATIO,
        ),
        Ask(
            key="rise",
            ask="Wait a minute until the air has cooled. What does the gauge show?",
            hint="250 mbar",
            quantity=Quantity.GAUGE_PRESSURE,
        ),
        Ask(
            key="room",
            ask="What does the barometer show at the bench?",
            hint="not a weather service's value at sea level, except near the sea",
            quantity=Quantity.ABSOLUTE_PRESSURE,
            proposal="1013 hPa",
        ),
    ),
    REFERENCE: (
        Ask(
            key="known volume",
            ask="What does the known volume hold, up to its valve?",
            hint="0.5 L ± 0.002 L",
            quantity=Quantity.VOLUME,
        ),
        Ask(
            key="before",
            ask="Pump up the known volume only; the loop is at room pressure. What does the gauge show?",
            hint="800 mbar; best two to four times of what both will have together",
            quantity=Quantity.GAUGE_PRESSURE,
        ),
        Ask(
            key="after",
            ask="Open the valve between them and wait a minute. What does the gauge show now?",
            hint="230 mbar",
            quantity=Quantity.GAUGE_PRESSURE,
        ),
    ),
}
"""What is asked for each way, in order."""


class VolumeForm:
    """Asks for the figures of one measurement, one a line."""

    def __init__(self, book: Logbook, build_id: str, method: str, shop: ShopState) -> None:
        self.book = book
        self.build_id = build_id
        self.method = method
        self.shop = shop
        self.typed: list[Measured] = []
        self.u: list[float] = []
        self.stored = False

    def question(self) -> Question:
        """Return what is asked now."""
        asks = ASKS[self.method]
        return self._confirm() if len(self.typed) == len(asks) else self._figure(asks[len(self.typed)])

    def back(self) -> bool:
        """Take back the last figure; False where there is none."""
        if not self.typed:
            return False
        self.typed.pop()
        self.u.pop()
        return True

    def figures(self) -> tuple[Figure, ...]:
        """Return what was typed so far, and the result where it can be told."""
        asks = ASKS[self.method]
        typed = typed_rows((ask.key, value.typed.strip()) for ask, value in zip(asks, self.typed, strict=False))
        return (*volume_rows(self.result(), "volume"), *typed) if len(self.typed) == len(asks) else typed

    def result(self) -> LoopVolume:
        """Return the volume that the figures give.

        Raises
        ------
        InputError
            If they give none.
        """
        value = [Uncertain(one.si, u) for one, u in zip(self.typed, self.u, strict=True)]
        try:
            if self.method == STROKES:
                found = volume_by_strokes(round(value[1].value), value[0], value[3], value[2])
            else:
                found = volume_by_reference(*value)
        except ValueError:
            raise InputError("these figures give no volume; Esc takes the last one back") from None
        return LoopVolume(volume_m3=found.value, u_volume_m3=found.u, basis="measured on air")

    def _figure(self, ask: Ask) -> Question:
        read = self._reader(ask)

        def deed(text: str) -> Deed:
            value, u = read(text)
            return Deed(told=f"{ask.key}: {value.typed.strip()}", do=lambda: self._take(value, u))

        return asked_once(
            deed,
            key=f"volume {ask.key}",
            ask=ask.ask,
            hint=self._hint(ask),
            proposal=ask.proposal and worded(ask.proposal),
        )

    def _hint(self, ask: Ask) -> str:
        kind = {
            Quantity.GAUGE_PRESSURE: InstrumentKind.GAUGE,
            Quantity.ABSOLUTE_PRESSURE: InstrumentKind.BAROMETER,
        }.get(ask.quantity)
        faces = faces_text(self._instrument(kind)) if kind else ""
        return worded(f"such as {ask.hint}" if ask.hint[:1].isdecimal() else ask.hint) + faces

    def _take(self, value: Measured, u: float) -> None:
        self.typed.append(value)
        self.u.append(u)

    def _reader(self, ask: Ask) -> Callable[[str], tuple[Measured, float]]:
        gauge = self._instrument(InstrumentKind.GAUGE)
        barometer = self._instrument(InstrumentKind.BAROMETER)

        def read(text: str) -> tuple[Measured, float]:
            match ask.quantity:
                case Quantity.RATIO:
                    return _whole(text), 0.0
                case Quantity.VOLUME:
                    value, u = parse_with_uncertainty(text, ask.quantity)
                    return value, rectangular_uncertainty(STROKE_ERROR * value.si) if u is None else u
                case Quantity.GAUGE_PRESSURE:
                    value = parse(text, ask.quantity, usual=gauge.unit if gauge else None)
                    if value.si <= 0:
                        raise InputError("the gauge must show more than 0; pump, and type what it shows")
                    return value, _error(gauge, GAUGE_ERROR_PA)
                case _:
                    value = parse(text, ask.quantity, usual=barometer.unit if barometer else None)
                    return value, _error(barometer, BAROMETER_ERROR_PA)

        return read

    def _instrument(self, kind: InstrumentKind) -> Instrument | None:
        return next((one for one in reversed(self.shop.instruments) if one.kind is kind), None)

    def _confirm(self) -> Question:
        loop = self.result()

        def store() -> str:
            self.book.work(Sheet).measure_volume(
                self.build_id,
                method=self.method,
                volume_m3=loop.volume_m3,
                u_volume_m3=loop.u_volume_m3,
                inputs=tuple(self.typed),
            )
            self.stored = True
            return f"loop volume {loop_volume(loop)}"

        return asked_word(
            "store",
            key="volume result",
            ask=f"The loop holds {loop_volume(loop)}. Let the pressure down. Enter stores it.",
            hint="Esc takes the last figure back",
            do=store,
        )


def _error(instrument: Instrument | None, fallback: float) -> float:
    """Return the standard uncertainty of one reading: its accuracy and half a step, both as half-widths."""
    if instrument is None:
        return rectangular_uncertainty(fallback)
    return rectangular_uncertainty(math.hypot(instrument.accuracy, instrument.resolution / 2))


def _whole(text: str) -> Measured:
    stripped = text.strip()
    if not stripped.isascii() or not stripped.isdecimal() or not 1 <= int(stripped) <= 500:
        raise InputError(f"{clip(text)} is no number of strokes; type a whole number from 1 to 500")
    return Measured(quantity=Quantity.RATIO, si=float(stripped), typed=text)
