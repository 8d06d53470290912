"""The same lines are the same entries, typed on a screen or line by line without one."""

from tests.fakes import ListLog
from tests.shell.plain_lines import WAIT, lines_of
from tests.ui.bench import AtStage, ready, typed

SCRIPT = (
    *("four hundred", "500 21", WAIT, "499 21", "undo", "misread", "note the lamp was moved", "499.9 21"),
    *("leak", "", "upper port", "a drop", "no", WAIT, "499.9 21", "repaired", "new seal", "end", ""),
)
"""A hold: a line that is refused, a reading that is withdrawn, a note, a leak and its repair, an end."""


def stored(log: ListLog) -> list[tuple[object, ...]]:
    """The entries with who, when and where they stand."""
    return [(one.seq, one.build, one.operator, one.mark, one.payload) for one in log.entries()]


async def test_the_same_lines_store_the_same_entries_as_on_the_screen() -> None:
    book, plain_log, clock, build = ready()
    told, _ = lines_of(book, SCRIPT, clock, build=build)
    assert sum("not stored: " in line for line in told) == 1
    book, screen_log, clock, build = ready()
    async with AtStage(book, "pressure_hold", build).run_test(size=(80, 24)) as pilot:
        for line in SCRIPT:
            clock.run(300) if line == WAIT else await typed(pilot, line)
    kinds = {one.payload.KIND for one in plain_log.entries()}
    wanted = {"hold started", "reading taken", "withdrawn", "went wrong", "finding cured", "hold closed"}
    assert wanted <= kinds
    assert stored(plain_log) == stored(screen_log)
