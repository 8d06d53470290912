"""A board that is read live as rows: the sensor of the sweep, the warmest temperature, or all to choose from."""

from collections.abc import Iterable

from commission.bench.card import Figure
from commission.record.machine.board_sensors import FanSensor

MOST_SENSORS = 12
"""Sensors that are listed at once."""


def sensor_text(sensor: FanSensor | None) -> str:
    """Return what a sensor shows: its speed, else the word for its state."""
    if sensor is None:
        return "gone"
    return str(sensor.state) if sensor.rpm is None else f"{sensor.rpm:.0f} rpm"


def live_rows(name: str, shows: str, come: str, temperatures: tuple[str, ...]) -> tuple[Figure, ...]:
    """Return the sensor that is read with how far its level has come, and the temperatures, the warmest first."""
    row = Figure(label=name, value=shows, bounds=come)
    warmest, *others = temperatures or ("",)
    return (row, Figure(label="warmest", value=warmest, bounds=" · ".join(others))) if warmest else (row,)


def sensor_rows(sensors: Iterable[tuple[str, FanSensor | None]]) -> tuple[Figure, ...]:
    """Return a row for each sensor: which one changes while the header is driven tells which it is."""
    rows = [
        Figure(label=f"{number} {name}", value=sensor_text(sensor)) for number, (name, sensor) in enumerate(sensors, 1)
    ]
    more = len(rows) - MOST_SENSORS
    return (*rows[:MOST_SENSORS], *((Figure(label="more", value=f"{more}"),) if more > 0 else ()))
