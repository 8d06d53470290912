"""The voltages of a supply as rows: every digit as it was typed, beside its window."""

from typing import TYPE_CHECKING

from commission.bench.card import Figure, raw

if TYPE_CHECKING:
    from commission.stages.first_power.model.rails import PowerGoodVerdict, RailRow, RailsVerdict
    from commission.stages.first_power.state.power import FirstPowerState

UNREAD = ("second-hand", "no source")
"""What stands in the source of a window that no guide was read for; the second in entries of the first release."""
_SIGN = " (second-hand)"


def rail_row(row: "RailRow") -> Figure:
    """Return a voltage: where and what it is, as typed, its word and its window."""
    reading, window = row.reading, row.window
    mark = _SIGN if any(word in window.source for word in UNREAD) else ""
    return Figure(
        label=f"{reading.plug} {reading.rail}{' loaded' if reading.loaded else ''}",
        value=f"{reading.typed} V",
        bounds=f"{str(row.outcome).upper()}: {window.low_v:.2f} to {window.high_v:.2f} V{mark}",
        raw=raw("V", reading.volt),
    )


def multimeter_row(power: "FirstPowerState") -> Figure:
    """Return the multimeter that cables and voltages are read with."""
    said = "named after they were read" if power.named_late else ""
    return Figure(label="multimeter", value=power.multimeter or "not named", remark=said)


def meter_row(verdict: "RailsVerdict") -> Figure:
    """Return the largest error of the meter, as it was stated with the voltages."""
    most_v = max((row.reading.meter_error_v for row in verdict.rows), default=0.0)
    if not most_v:
        return Figure(label="meter", value="no error stated", remark="its digits are taken as they are")
    return Figure(label="meter", value=f"within {most_v:g} V", remark="as stated with them", raw=raw("V", most_v))


def power_good_row(good: "PowerGoodVerdict") -> Figure:
    """Return how long PWR_OK took, and what that proves."""
    return Figure(
        label="PWR_OK",
        value=f"{good.delay_ms:g} ms",
        bounds=f"{str(good.outcome).upper()}: {good.word}",
        raw=raw("s", good.delay_ms / 1000),
    )
