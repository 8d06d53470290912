"""Counts what one Enter crosses: ``python -m tests.benchmarks.way_of_enter [--files]``, which lists the files, too.

The card is asked as its screen asks it: what the line means, what Enter does, what stands on the card then. It counts
the files of the program that any call enters, the calls into them, how often a build is folded from nothing or further,
and how often a number is read out of typed text. The log is in memory, so storage is not among the files. A verdict is
a file a rule, so these are told by themselves.

The aims, 30 files for a reading and 35 for an amount, are missed, for the reason that DEVELOPERS.md gives. It ends with
status 1 where they are missed by more than they were when this was last written.
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
JUDGING = ("judge", "physics", "statistics")
"""Rooms of what gives the verdict."""
FOLDS = ("fold_build", "fold_further")
PARSES = ("split_number",)


class Way:
    """What was crossed between two moments."""

    def __init__(self) -> None:
        self.files: dict[str, int] = {}
        """The files, with how many calls went into each."""
        self.named: dict[str, int] = {}

    def __enter__(self) -> "Way":
        sys.setprofile(self._called)
        return self

    def __exit__(self, *_: object) -> None:
        sys.setprofile(None)

    def _called(self, frame: FrameType, event: str, _: object) -> None:
        if event == "call" and frame.f_code.co_filename.startswith(HOUSE):
            file, name = frame.f_code.co_filename, frame.f_code.co_name
            self.files[file] = self.files.get(file, 0) + 1
            self.named[name] = self.named.get(name, 0) + 1

    @property
    def calls(self) -> int:
        """How many calls were made."""
        return sum(self.files.values())

    @property
    def folds(self) -> int:
        """How often a build was folded."""
        return sum(self.named.get(name, 0) for name in FOLDS)

    def told(self, what: str) -> str:
        """Return the counts as a line."""
        judging = sum(any(room in Path(file).relative_to(HOUSE).parts for room in JUDGING) for file in self.files)
        parses = sum(self.named.get(name, 0) for name in PARSES)
        return (
            f"{what}: {len(self.files)} files ({judging} of them judge), {self.calls} calls, {self.folds} folds, "
            f"{parses} numbers read"
        )


def entered(flow: Flow, line: str) -> Way:
    """Count what a line crosses that was typed and entered."""
    flow.card()
    with Way() as way:
        prompt = flow.now()
        assert prompt is not None
        prompt.understand(line)
        flow.answer(line)
        flow.card()
    return way


def held(what: str, way: Way, *, files: int, calls: int) -> bool:
    """Print the counts, and return whether the way is no longer than it was, with one fold."""
    print(way.told(what))
    if "--files" in sys.argv:
        for file, times in sorted(way.files.items()):
            print(f"  {Path(file).relative_to(HOUSE)}: {times}")
    if len(way.files) > files or way.calls > calls or way.folds > 1:
        print(f"  longer than it was: {files} files, {calls} calls, 1 fold")
        return False
    return True


def main() -> int:
    """Print the counts of a reading and of an amount, and return 1 where one of them is longer than it was."""
    book, _, clock = new_book()
    build = ready_build(book)
    start_hold(book, build)
    type_hold(book, clock, build, start_mbar=500.0, fall_mbar=0.0, minutes=15)
    clock.run(300)
    hold = HoldFlow(book, build)
    entered(hold, "500.0 21.0")  # what is loaded at the first call is no part of the way
    clock.run(300)
    reading = held("a reading of a hold (aim 30 files, 1 fold)", entered(hold, "499.9 21.0"), files=83, calls=2150)
    book, _, clock, build = poured()
    fill = FillFlow(book, build)
    entered(fill, "10 mL")
    amount = held("an amount of a fill (aim 35 files, 1 fold)", entered(fill, "20 mL"), files=60, calls=2300)
    return 0 if reading and amount else 1


if __name__ == "__main__":
    sys.exit(main())
