"""What each entry of a soak brought, one a row, for the report."""

from __future__ import annotations

from statistics import fmean
from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.figures import duration
from commission.bench.listing import Listing
from commission.bench.moment import moment
from commission.stages.thermal_soak.entries import SoakRead
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.work.soaks import Soaks
from commission.units.show import show

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.record.fold import BuildState
    from commission.record.logbook import Logbook
    from commission.stages.thermal_soak.model import SoakReading

_COLUMNS = ("entry", "when", "readings", "from", "to", "what was read", "how")


def soak_listings(book: Logbook, state: BuildState) -> Iterator[Listing]:
    """Yield what each entry of the soak that counts brought, and how its sensors are taken; nothing without any."""
    entries = {entry.seq: entry for entry in book.entries(state.build_id)}
    rows = []
    for taken in state.of(SoakState).taken:
        entry, read = entries[taken.seq], entries[taken.seq].payload
        rows.append(
            (
                str(taken.seq),
                moment(entry.mark.wall_ms, entry.mark.offset_min),
                str(len(taken.readings)),
                duration(taken.readings[0].elapsed_s),
                duration(taken.readings[-1].elapsed_s),
                ", ".join(_named(taken.readings)),
                (read.file if isinstance(read, SoakRead) else "") or "one by one",
            )
        )
    if rows:
        rule = book.work(Soaks).rule(state)
        sensor = show(2 * rule.u_sensor_k, Quantity.TEMPERATURE_DIFFERENCE, digits=2)
        caption = (
            f"With what the soak that counts was read. No sensor is named: each of coolant and air is taken as within "
            f"{sensor}, the flow as within {200 * rule.u_flow:g} % (95 %)"
        )
        yield Listing(caption=caption, columns=_COLUMNS, rows=tuple(rows))
        yield from _means(book, state)


def _means(book: Logbook, state: BuildState) -> Iterator[Listing]:
    """Yield the means that heat and watts were worked out of, with how far they wandered."""
    picture = book.work(Soaks).verdict(state).picture
    if picture is None:
        return
    counts = [one for one in state.of(SoakState).readings if one.elapsed_s >= picture.counts_from_s]
    read: dict[str, tuple[Quantity, list[float]]] = {}
    for one in counts:
        for name, quantity, value in _values(one):
            read.setdefault(name, (quantity, []))[1].append(value)
    rows = tuple(_spread(name, quantity, values) for name, (quantity, values) in read.items())
    caption = (
        f"What was read from {duration(picture.counts_from_s)} on, which counts. Heat carried is mean flow times (mean "
        f"warm less mean cool) times density and heat capacity of the coolant"
    )
    yield Listing(caption=caption, columns=("what", "readings", "lowest", "mean", "highest"), rows=rows)


def _values(one: SoakReading) -> Iterator[tuple[str, Quantity, float]]:
    """Yield what one reading has, by the words it is typed with."""
    kelvins = (("warm", one.warm_k), ("cool", one.cool_k), ("air", one.air_k))
    yield from ((name, Quantity.TEMPERATURE, value) for name, value in kelvins if value is not None)
    if one.flow_m3_s is not None:
        yield "flow", Quantity.FLOW, one.flow_m3_s
    if one.load_w is not None:
        yield "load", Quantity.POWER, one.load_w
    yield from ((part.name, Quantity.TEMPERATURE, part.value) for part in one.components)
    yield from ((part.name, Quantity.RATIO, part.value) for part in one.duties)


def _spread(name: str, quantity: Quantity, values: Sequence[float]) -> tuple[str, ...]:
    """Return a row: a mean of temperatures in hundredths, since a difference of two is worked out of them."""
    step, fine = (0.1, 0.01) if quantity is Quantity.TEMPERATURE else (None, None)
    least, most = (show(value, quantity, resolution=step) for value in (min(values), max(values)))
    mean = show(fmean(values), quantity, resolution=fine, digits=None if fine else 3)
    return name, str(len(values)), least, mean, most


def _named(readings: Sequence[SoakReading]) -> Iterator[str]:
    """Yield what was read in any of some readings."""
    for name, field in (("warm", "warm_k"), ("cool", "cool_k"), ("air", "air_k"), ("flow", "flow_m3_s")):
        if any(getattr(one, field) is not None for one in readings):
            yield name
    if any(one.load_w is not None for one in readings):
        yield "load"
    yield from dict.fromkeys(part.name for one in readings for part in (*one.components, *one.duties))
