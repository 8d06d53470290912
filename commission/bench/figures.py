"""Figures in words on every card, with the digits that mean something: one number of decimals in a row."""

from datetime import UTC, datetime, timedelta, timezone

from commission.base.clock import ClockMark
from commission.base.quantity import K95, Quantity
from commission.record.machine.instrument import GaugeFace, Instrument
from commission.record.machine.loop import LoopVolume
from commission.units.chosen import face_unit, unit_for
from commission.units.show import show

TENTHS_BELOW_ML = 10.0
"""Below this a volume is shown in tenths of a millilitre [mL]; our choice: a level and a syringe are read to 1 mL."""

_WHOLE_ML = 0.95
"""From here an uncertainty has a digit in whole millilitres [mL]: below it would round to 1 mL or vanish."""


def millilitres(m3: float, *beside: float) -> str:
    """Return a volume [m3] in whole millilitres; in tenths where neither it nor what stands beside it reaches 10 mL.

    >>> millilitres(968.4e-6), millilitres(2.83e-6), millilitres(-1e-9)
    ('968 mL', '2.8 mL', '0 mL')
    >>> millilitres(2.83e-6, 12.4e-6)
    '3 mL'
    """
    return _amount(_decimals(m3, *beside), m3)


def millilitres_between(low: float, high: float, *beside: float) -> str:
    """Return the bounds of a volume [m3], with the decimals of `millilitres`.

    >>> millilitres_between(-3e-6, 72.6e-6), millilitres_between(0.74e-6, 8.94e-6, 2.83e-6)
    ('0 to 73 mL', '0.7 to 8.9 mL')
    """
    return _amount(_decimals(low, high, *beside), low, high)


def millilitres_good_to(m3: float, u_m3: float) -> tuple[str, str]:
    """Return a volume [m3] and its expanded uncertainty of 95 %, both with the same decimals.

    The decimals are those of `millilitres`, and tenths where the uncertainty is below a millilitre.

    >>> millilitres_good_to(968e-6, 1.5e-6), millilitres_good_to(45e-6, 0.25e-6)
    (('968 mL', '± 3 mL'), ('45.0 mL', '± 0.5 mL'))
    """
    half = K95 * u_m3
    decimals = 1 if half * 1e6 < _WHOLE_ML else _decimals(m3, half)
    return _amount(decimals, m3), f"± {_amount(decimals, half)}"


def degrees(kelvin: float | None) -> str:
    """Return a temperature [K] in tenths of a degree Celsius.

    >>> degrees(260.37), degrees(None)
    ('-12.8 °C', 'not known')
    """
    return "not known" if kelvin is None else show(kelvin, Quantity.TEMPERATURE, resolution=0.1)


def _decimals(*m3: float) -> int:
    return 0 if max(map(abs, m3)) * 1e6 >= TENTHS_BELOW_ML else 1


def _amount(decimals: int, *m3: float) -> str:
    """Return volumes as fine as millilitres with so many decimals, none below zero, with their unit behind the last."""
    unit, numbers = "mL", [f"{max(0.0, one * 1e6):.{decimals}f}" for one in m3]
    if unit_for(Quantity.VOLUME):
        shown = [show(max(0.0, one), Quantity.VOLUME, resolution=1e-6 / 10**decimals) for one in m3]
        numbers, unit = [text.partition(" ")[0] for text in shown], shown[-1].partition(" ")[2]
    return f"{' to '.join(text if text.strip('0.') else '0' for text in numbers)} {unit}"


GRAVITY_M_S2 = 9.80665
"""Standard gravity [m/s2]. Source: 3rd CGPM, 1901."""


def rate(pa_m3_s: float) -> str:
    """Return a leak rate.

    >>> rate(3.2e-2)
    '0.32 mbar·L/s'
    """
    return show(pa_m3_s, Quantity.LEAK_RATE, digits=2)


def pressure(pa: float, unit: str | None = None, *, digits: int = 4) -> str:
    """Return a gauge pressure in the person's unit, or in this one where none was chosen."""
    return show(pa, Quantity.GAUGE_PRESSURE, own=unit, digits=digits)


def difference(pa: float, unit: str | None = None) -> str:
    """Return a difference of pressures, in the unit that `pressure` takes."""
    return show(pa, Quantity.PRESSURE_DIFFERENCE, own=unit, digits=3)


def duration(seconds: float) -> str:
    """Return a length of time."""
    return show(seconds, Quantity.DURATION)


def forecast(seconds: float) -> str:
    """Return how long something will take, rounded up to whole minutes: a forecast that is too short is a lie.

    >>> forecast(683.0), forecast(3601.0)
    ('12 min', '1 h 1 min')
    """
    return duration(-(-seconds // 60) * 60)


def volume(m3: float) -> str:
    """Return a volume."""
    return show(m3, Quantity.VOLUME, digits=3)


def half_width(m3: float, u_m3: float) -> str:
    """Return a volume with its 95 %, as it would be typed.

    >>> half_width(1.2e-3, 30e-6)
    '1200 mL ± 60 mL'
    """
    return " ".join(millilitres_good_to(m3, u_m3))


def loop_volume(loop: LoopVolume) -> str:
    """Return a loop's volume with its uncertainty and where it comes from."""
    return f"{half_width(loop.volume_m3, loop.u_volume_m3)} (95 %), {basis(loop.basis)}"


def basis(word: str) -> str:
    """Return where a volume comes from, in words."""
    return "sum of the parts" if word == "parts" else word


def instrument_line(instrument: Instrument) -> str:
    """Return an instrument in one line: step, accuracy and range in its own unit."""
    step = instrument_step(instrument)
    low, high = (
        show(v, instrument.quantity, unit=instrument.unit, digits=4) for v in (instrument.low, instrument.high)
    )
    low = low.rpartition(" ")[0]
    accuracy = f", ± {step_text(instrument, instrument.accuracy)}" if instrument.accuracy else ""
    told = (("columns", instrument.columns), ("port", instrument.port), ("pattern", instrument.pattern))
    more = "".join(f", {word} {text}" for word, text in told if text)
    return f"step {step}{accuracy}, {low} to {high}{face_text(instrument)}{more}"


def face_text(instrument: Instrument) -> str:
    """Return what a dial needs to be known of, behind a comma; empty for any other instrument."""
    if instrument.face is not GaugeFace.DIAL:
        return ""
    marks = f", marks {step_text(instrument, instrument.division)}" if instrument.division else ""
    return f", dial{marks}, {'tapped' if instrument.tapped else 'not tapped'}"


def instrument_step(instrument: Instrument) -> str:
    """Return one step of an instrument's display."""
    return step_text(instrument, instrument.resolution)


def step_text(instrument: Instrument, si: float) -> str:
    """Return a step or an error of an instrument in its own unit."""
    return show(si, step_quantity(instrument), unit=instrument.unit, digits=3)


def faces_text(*instruments: Instrument | None) -> str:
    """Return behind a semicolon what a bare reading is in, where a person reads in other units; empty else."""
    units = [one.unit for one in instruments if one is not None and face_unit(one.quantity, one.unit) is None]
    return f"; a bare number is {', '.join(dict.fromkeys(units))}" if units else ""


def step_quantity(instrument: Instrument) -> Quantity:
    """Return what a step of an instrument is: a difference of what it reads."""
    is_temperature = instrument.quantity is Quantity.TEMPERATURE
    return Quantity.TEMPERATURE_DIFFERENCE if is_temperature else Quantity.PRESSURE_DIFFERENCE


def energy(joule: float) -> str:
    """Return an energy with something to picture it by.

    >>> energy(49.2)
    '49 J, a 1 kg hammer dropped from 5 m'
    >>> energy(0.3)
    '0.3 J, a 100 g apple dropped from 0.31 m'
    """
    for mass_kg, what in ((0.1, "a 100 g apple"), (1.0, "a 1 kg hammer"), (10.0, "a 10 kg weight")):
        height = joule / mass_kg / GRAVITY_M_S2
        if height < 10 or mass_kg == 10.0:
            fall = show(height, Quantity.LENGTH, own="m", digits=2)
            return f"{show(joule, Quantity.ENERGY, digits=2)}, {what} dropped from {fall}"
    raise AssertionError  # the last mass always answers


def local_time(wall_ms: int, offset_min: int) -> datetime:
    """Return a moment on the wall clock of the bench."""
    return datetime.fromtimestamp(wall_ms / 1000, UTC).astimezone(timezone(timedelta(minutes=offset_min)))


def clock_time(mark: ClockMark, wall_ms: int | None = None, *, today: ClockMark | None = None) -> str:
    """Return a moment as ``14:05``, with the date where it is not of today."""
    moment = local_time(mark.wall_ms if wall_ms is None else wall_ms, mark.offset_min)
    same_day = today is not None and local_time(today.wall_ms, today.offset_min).date() == moment.date()
    return f"{moment:%H:%M}" if same_day else f"{moment:%Y-%m-%d %H:%M}"
