"""Counts what one Enter crosses: ``python -m tests.benchmarks.way_of_enter``.

The card is asked as its screen asks it: what the line means, what Enter does, what stands on the card then. It counts
the files of the program that any call enters, the calls into them, how often a build is folded from nothing or further,
and how often a number is read out of typed text. The log is in memory, so storage is not among the files.
"""

import sys
from pathlib import Path
from types import FrameType

import commission
from commission.bench.ask import Flow
from commission.stages.fill.card.fill import FillFlow
from commission.stages.pressure_hold.card.hold import HoldFlow
from tests.fakes import new_book
from tests.holds import ready_build, start_hold, type_hold
from tests.stages.fill.screen.coolant_bench import poured

HOUSE = str(Path(commission.__file__).parent)
FOLDS = ("fold_build", "fold_further")
PARSES = ("split_number",)


class Way:
    """What was crossed between two moments."""

    def __init__(self) -> None:
        self.files: set[str] = set()
        self.calls = 0
        self.named: dict[str, int] = {}

    def __enter__(self) -> "Way":
        sys.setprofile(self._called)
        return self

    def __exit__(self, *_: object) -> None:
        sys.setprofile(None)

    def _called(self, frame: FrameType, event: str, _: object) -> None:
        if event == "call" and frame.f_code.co_filename.startswith(HOUSE):
            self.files.add(frame.f_code.co_filename)
            self.calls += 1
            name = frame.f_code.co_name
            self.named[name] = self.named.get(name, 0) + 1

    def told(self, what: str) -> str:
        """Return the counts as a line."""
        folds = sum(self.named.get(name, 0) for name in FOLDS)
        parses = sum(self.named.get(name, 0) for name in PARSES)
        return f"{what}: {len(self.files)} files, {self.calls} calls, {folds} folds, {parses} numbers read"


def entered(what: str, flow: Flow, line: str) -> str:
    """Count what a line crosses that was typed and entered."""
    flow.card()
    with Way() as way:
        prompt = flow.now()
        assert prompt is not None
        prompt.understand(line)
        flow.answer(line)
        flow.card()
    return way.told(what)


def main() -> None:
    """Print the counts of a reading and of an amount."""
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500.0, fall_mbar=0.0, minutes=15)
    clock.run(300)
    hold = HoldFlow(book, build)
    entered("warm", hold, "500.0 21.0")  # what is loaded at the first call is no part of the way
    clock.run(300)
    print(entered("a reading of a hold (aim 30 files, 1 fold)", hold, "499.9 21.0"))
    book, _, clock, build = poured()
    fill = FillFlow(book, build)
    entered("warm", fill, "10 mL")
    print(entered("an amount of a fill (aim 35 files, 1 fold)", fill, "20 mL"))


if __name__ == "__main__":
    main()
