"""What a hold from a file or a pipe is judged by: first the command line, then the file, then what can be inferred."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.base.errors import FileError
from commission.base.frozen import Frozen
from commission.base.quantity import K95, Measured, Quantity
from commission.physics.gas import STANDARD_ATMOSPHERE_PA
from commission.record.machine.instrument import GaugeFace, Instrument, InstrumentKind
from commission.record.machine.loop import LoopVolume
from commission.record.machine.volume_known import VolumeKnown, u_of_volume
from commission.shell.quantity_type import AUTO
from commission.shell.shown import shown
from commission.stages.pressure_hold.entries import HoldPlan
from commission.stages.pressure_hold.shell.overruled import one_source, overruled

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.procedure.model import Stage
    from commission.shell.quantity_type import Uncertain
    from commission.stages.pressure_hold.entries import SourceOff
    from commission.stages.pressure_hold.files.settings import HoldSettings

ASSUMED_U_GAIN = 0.01
"""Relative standard uncertainty of the scale of a gauge that nobody described [1]; our choice: class 1.6, spread
evenly, gives 0.9 %."""

USUAL_RANGE_PA = 100_000.0
"""Full scale taken for a gauge that nobody described [Pa gauge]; our choice: the usual gauge of a hand pump."""


class Asked(Frozen):
    """What the command line gives; None where it does not."""

    volume: Uncertain | None = None
    """Internal volume [m3]."""
    volume_known: VolumeKnown | None = None
    """How it is known."""
    limit: float | None = None
    """Largest leak rate that passes [Pa·m3/s]."""
    gauge_kind: GaugeFace | None = None
    """Digits or a needle."""
    tapped: bool | None = None
    """Whether a dial was tapped before each reading."""
    gauge_step: float | None = None
    """One step of the gauge [Pa]."""
    air_step: float | None = None
    """One step of the thermometer [K]."""
    barometer_step: float | None = None
    """One step of the barometer [Pa]."""
    room_swing: float | None = None
    """How far the temperature may wander unseen [K]."""
    settle: float | None = None
    """How much of the start is left out [s]; ``AUTO``: found from the readings."""
    source: SourceOff | None = None
    """How the source was kept from feeding the loop."""


class Seen(Frozen):
    """What the readings themselves show."""

    absolute: bool
    """Whether the pressure is absolute."""
    unit: str
    """Unit of the pressure."""
    target_gauge_pa: float
    """Gauge pressure of the first reading [Pa]."""
    hold_s: float
    """Length of the hold [s]."""
    gauge_step_pa: float
    """One step of the pressure, from its digits [Pa]."""
    air_step_k: float | None
    """One step of the air temperature, from its digits [K]; None where it was not read."""
    barometer_step_pa: float | None
    """One step of the barometer, from its digits [Pa]; None where it was not read."""


class Basis(Frozen):
    """How a hold is judged, and what had to be assumed for it."""

    plan: HoldPlan
    """The plan."""
    assumed: tuple[str, ...]
    """What was assumed, each as a sentence."""
    source: SourceOff | None
    """How the source was kept from feeding the loop; None where nobody said."""
    overruled: tuple[str, ...] = ()
    """Which comment lines of the file do not count, for the command line says otherwise, each as a sentence."""


def basis_of(
    asked: Asked | None,
    settings: HoldSettings,
    seen: Seen,
    stage: Stage,
    known: LoopVolume | None = None,
    *,
    source: SourceOff | None = None,
) -> Basis:
    """Return how a hold is judged.

    Parameters
    ----------
    asked, settings, seen
        What the command line, the comment lines and the readings say, in this order of precedence; None for a command
        that has no such options.
    known
        Volume of the build, where there is one.
    source
        How the source was kept from feeding the loop, where that was asked before.

    Raises
    ------
    FileError
        If nothing says how large the loop is, or command line and file contradict each other about the source.
    """
    assumed: list[str] = []
    say = _by_comment if asked is None else _by_option
    asked = asked or Asked()
    volume = _volume(asked, settings, known, assumed, say)
    if seen.air_step_k is None and asked.room_swing is None and settings.room_swing is None:
        swing = shown(stage.limit("room_swing_k"), Quantity.TEMPERATURE_DIFFERENCE)
        less = say("room swing", "0.5 K")
        assumed.append(f"no thermometer was read, so the loop may have wandered by {swing}; if by less, {less}.")
    settle = asked.settle if asked.settle is not None else _si(settings.settle)
    plan = HoldPlan(
        limit_pa_m3_s=asked.limit or _si(settings.limit) or stage.limit("leak_rate_pa_m3_s"),
        hold_s=seen.hold_s,
        settle_s=None if settle == AUTO else settle,
        target_gauge_pa=seen.target_gauge_pa,
        every_s=stage.limit("every_s"),
        gauge=_gauge(asked, settings, seen, assumed, say),
        thermometer=_thermometer(asked.air_step or _si(settings.air_step), seen),
        barometer=_barometer(asked.barometer_step or _si(settings.barometer_step), seen),
        room_swing_k=_first(asked.room_swing, _si(settings.room_swing), stage.limit("room_swing_k")),
        volume_m3=volume.volume_m3,
        u_volume_m3=volume.u_volume_m3,
        volume_basis=volume.basis,
    )
    source = source or one_source(asked.source, settings.source)
    if source is None:
        assumed.append(f"the source was off, for one that seeps in hides a leak; {say('source', 'hose off')}.")
    return Basis(plan=plan, assumed=tuple(assumed), source=source, overruled=overruled_by(asked, settings))


def overruled_by(asked: Asked, settings: HoldSettings) -> tuple[str, ...]:
    """Return the comment lines of a file that do not count, for the command line says something else."""
    return overruled(
        (
            ("volume", None if asked.volume is None else asked.volume.si, settings.volume),
            ("volume known", asked.volume_known, settings.volume_known),
            ("limit", asked.limit, settings.limit),
            ("gauge kind", asked.gauge_kind, settings.gauge_kind),
            ("tapped", asked.tapped, settings.tapped),
            ("gauge step", asked.gauge_step, settings.gauge_step),
            ("air step", asked.air_step, settings.air_step),
            ("barometer step", asked.barometer_step, settings.barometer_step),
            ("room swing", asked.room_swing, settings.room_swing),
            ("settle", asked.settle, settings.settle),
        )
    )


def _si(measured: Measured | None) -> float | None:
    return None if measured is None else measured.si


def _first(*values: float | None) -> float:
    return next(value for value in values if value is not None)


def _by_option(key: str, example: str) -> str:
    return f'say --{key.replace(" ", "-")} "{example}" or put a line "# {key}: {example}" above the header'


def _by_comment(key: str, example: str) -> str:
    return f'put a line "# {key}: {example}" above the header'


def _volume(
    asked: Asked, settings: HoldSettings, known: LoopVolume | None, assumed: list[str], say: Callable[[str, str], str]
) -> LoopVolume:
    if asked.volume is not None:
        volume, u = asked.volume.si, asked.volume.u
    elif settings.volume is not None:
        volume, u = settings.volume.si, settings.u_volume_m3
    elif known is not None:
        return known
    else:
        raise FileError(f"nothing says how large the loop is; {say('volume', '1.2 L')}")
    known_by = asked.volume_known or settings.volume_known
    stated = u is not None
    u = u if u is not None else u_of_volume(volume, known_by or VolumeKnown.GUESSED)
    if known_by is None and not stated:
        width = shown(K95 * u, Quantity.VOLUME)
        assumed.append(
            f"the volume is a guess, good to {width} (95 %); "
            f"""{say("volume known", "data sheets")}, or state its ±, such as "1.2 L +- 6 %"."""
        )
    return LoopVolume(volume_m3=volume, u_volume_m3=u, basis=known_by or "typed")


def _gauge(
    asked: Asked, settings: HoldSettings, seen: Seen, assumed: list[str], say: Callable[[str, str], str]
) -> Instrument:
    stated = asked.gauge_step or _si(settings.gauge_step)
    if stated is None:
        step = shown(seen.gauge_step_pa, Quantity.PRESSURE_DIFFERENCE)
        assumed.append(f"one step of the gauge is {step}, guessed from its readings; {say('gauge step', '5 mbar')}.")
    face = asked.gauge_kind or settings.gauge_kind or GaugeFace.UNKNOWN
    tapped = settings.tapped if asked.tapped is None else asked.tapped
    if tapped is not None and face is GaugeFace.DIGITAL:
        raise FileError("a digital gauge has no needle to tap; leave out tapped, or say gauge kind dial")
    if tapped is not None:
        face = GaugeFace.DIAL
    if face is GaugeFace.DIAL and tapped is None:
        assumed.append(f"the dial was not tapped, so it may hide one division; {say('tapped', 'yes')}.")
    high = max(USUAL_RANGE_PA, 2 * seen.target_gauge_pa) + (STANDARD_ATMOSPHERE_PA if seen.absolute else 0.0)
    return Instrument(
        instrument_id="",
        kind=InstrumentKind.ABSOLUTE_GAUGE if seen.absolute else InstrumentKind.GAUGE,
        name="gauge of the readings, accuracy assumed",
        unit=seen.unit,
        resolution=stated or seen.gauge_step_pa,
        accuracy=ASSUMED_U_GAIN * math.sqrt(3) * high,
        low=0.0,
        high=high,
        face=face,
        tapped=bool(tapped),
        step_guessed=stated is None,
    )


def _thermometer(step: float | None, seen: Seen) -> Instrument | None:
    return _of_readings(InstrumentKind.THERMOMETER, "degC", step, seen.air_step_k, low=213.15, high=373.15)


def _barometer(step: float | None, seen: Seen) -> Instrument | None:
    return _of_readings(InstrumentKind.BAROMETER, "hPa", step, seen.barometer_step_pa, low=30_000.0, high=115_000.0)


def _of_readings(
    kind: InstrumentKind, unit: str, stated: float | None, step: float | None, *, low: float, high: float
) -> Instrument | None:
    """Return what the readings were taken with, so far as they tell; None where there are none."""
    if step is None:
        return None
    return Instrument(
        instrument_id="",
        kind=kind,
        name=f"{kind} of the readings",
        unit=unit,
        resolution=stated or step,
        accuracy=0.0,
        low=low,
        high=high,
    )
