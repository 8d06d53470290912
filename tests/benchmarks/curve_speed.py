"""What one full update of the hold's curve costs: new picture in, every row painted.

Run it by hand: ``python -m tests.benchmarks.curve_speed``. CPU time (process_time), median of 21 updates on a grid of
110 x 30 cells, for 1,000, 10,000 and 86,400 readings. The limit is 10 ms of CPU at 86,400 readings.
"""

import asyncio
import random
import statistics
import sys
import time
from collections.abc import Callable

from textual.app import App, ComposeResult

from commission.base.curve import Curve
from commission.stages.pressure_hold.model import HoldPicture
from commission.stages.pressure_hold.plot.curve import CurveAxes, HoldCurve
from commission.ui.theme import dress

LIMIT_MS = 10.0
SIZE = (110, 30)


def picture(count: int) -> HoldPicture:
    """A day that leaks and is noisy, at one reading each `86400 / count` seconds."""
    rng = random.Random(20)
    times = tuple(86_400.0 * i / (count - 1) for i in range(count))

    def decay(rate: float) -> Curve:
        at = tuple(86_400.0 * i / 200 for i in range(201))
        return Curve(elapsed_s=at, pressure_pa=tuple(-rate * t / 86_400.0 for t in at))

    values = tuple(-500.0 * t / 86_400.0 + rng.gauss(0.0, 40.0) for t in times)
    return HoldPicture(
        points=Curve(elapsed_s=times, pressure_pa=values),
        fit=decay(500.0),
        low=decay(700.0),
        high=decay(300.0),
        limit=decay(1400.0),
    )


def cpu_ms(action: Callable[[], object], times: int = 21) -> tuple[float, float]:
    """Median and least CPU time of an action [ms]."""
    spent = []
    for _ in range(times):
        start = time.process_time()
        action()
        spent.append((time.process_time() - start) * 1000)
    return statistics.median(spent), min(spent)


class Bare(App[None]):
    """Nothing but the curve."""

    def compose(self) -> ComposeResult:
        """Yield it."""
        yield HoldCurve(
            CurveAxes(
                time_text=lambda s: f"{int(s) // 3600}:{int(s) % 3600 // 60:02}",
                pressure_text=lambda pa: f"{pa / 100:g}",
                unit_pa=100.0,
                unit="mbar",
            )
        )

    def on_mount(self) -> None:
        """Put our colours on."""
        dress(self)


async def measure() -> dict[int, tuple[float, float]]:
    """Return for each number of readings a full update's median and least cost [ms]."""
    found = {}
    app = Bare()
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        curve = app.query_one(HoldCurve)
        for count in (1_000, 10_000, 86_400):
            whole = picture(count)

            def paint() -> None:
                for y in range(SIZE[1]):
                    curve.render_line(y)

            def update(whole: HoldPicture = whole) -> None:
                curve.show(whole)
                paint()

            found[count] = cpu_ms(update)
    return found


def main() -> int:
    """Print the figures; 1 where the limit is not kept."""
    found = asyncio.run(measure())
    least = found[1_000][0]
    print(f"{'readings':>9} {'median':>7} {'least':>7} {'ratio':>6}   (ms of CPU, {SIZE[0]}x{SIZE[1]} cells)")
    for count, (full, best) in found.items():
        print(f"{count:>9} {full:>7.2f} {best:>7.2f} {full / least:>6.2f}")
    values = picture(86_400).points.pressure_pa
    bare, _ = cpu_ms(lambda: (min(values), max(values)))
    print(
        f"min() and max() of 86,400 floats alone: {bare:.2f}; a full update is {found[86_400][0] / bare:.1f} times that"
    )
    kept = found[86_400][0] <= LIMIT_MS
    print(f"limit {LIMIT_MS:g} ms at 86,400 readings: {'kept' if kept else 'NOT KEPT'}")
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
