"""The stages of a build in their order, each with a word for its state."""

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from textual import events
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from commission.base.frozen import Frozen
from commission.record.ladder import StageWord
from commission.ui.widgets.words import ascii_only, fit, safe


class Rung(Frozen):
    """One stage of the ladder."""

    key: str
    """Stage of the procedure."""
    name: str
    """Its name on the screen."""
    state: StageWord
    """Its state."""


INK_OF_STATE = {
    StageWord.LOCKED: "$text-muted",
    StageWord.OPEN: "$primary",
    StageWord.RUNNING: "bold $primary",
    StageWord.PASSED: "$success",
    StageWord.FAILED: "bold $error",
    StageWord.INCONCLUSIVE: "$warning",
    StageWord.INVALID: "$warning",
    StageWord.STALE: "$warning",
    StageWord.OVERRIDDEN: "bold $warning",
}
"""How the word for a state is drawn; the word says the same."""


def folded(rungs: Sequence[Rung], current: str, width: int) -> list[tuple[str, Rung | None]]:
    """Return the ladder as pieces of one line of at most `width` cells.

    The current stage always comes whole; those before it are counted by state, those after it are named while there
    is room and then counted. A count stands for the nearest stage that it counts: a click on it goes there.

    Examples
    --------
    >>> rungs = [Rung(key=str(i), name=f"stage {i}", state=StageWord.LOCKED) for i in range(4)]
    >>> [text for text, _ in folded(rungs, "1", 42)]
    ['1 locked', 'stage 1: LOCKED', '2 more locked']
    """
    if not rungs:
        return []
    at = next((i for i, rung in enumerate(rungs) if rung.key == current), 0)
    before, after = rungs[:at], rungs[at + 1 :]
    here = (f"{rungs[at].name}: {rungs[at].state.upper()}", rungs[at])
    for by_state in (True, False):
        for named in range(len(after), -1, -1):
            pieces = [
                *_counted(before, "before", by_state=by_state),
                here,
                *((f"{rung.name}: {rung.state}", rung) for rung in after[:named]),
                *_counted(after[named:], "more", by_state=by_state),
            ]
            if sum(cell_len(text) + 3 for text, _ in pieces) - 3 <= width:
                return pieces
    return [here]


def _counted(rungs: Sequence[Rung], where: str, *, by_state: bool) -> list[tuple[str, Rung | None]]:
    """Return how many stages there are, each count with the nearest of them: of each state, or only before or after."""
    nearest = 0 if where == "more" else -1
    if not by_state:
        return [(f"{len(rungs)} {where}", rungs[nearest])] if rungs else []
    of_state: dict[StageWord, list[Rung]] = {}
    for rung in rungs:
        of_state.setdefault(rung.state, []).append(rung)
    more = "more " if where == "more" else ""
    return [(f"{len(those)} {more}{state}", those[nearest]) for state, those in of_state.items()]


class StageLadder(Widget, can_focus=False):
    """Rungs one above the other where there is room; in a single line where there is not."""

    DEFAULT_CSS = """
    StageLadder { width: 20; height: 1fr; padding: 0 1; }
    """

    @dataclass
    class Chosen(Message):
        """A stage was chosen."""

        ladder: "StageLadder"
        """The ladder."""
        key: str
        """Stage of the procedure."""

        @property
        def control(self) -> "StageLadder":
            """The ladder."""
            return self.ladder

    def __init__(self) -> None:
        super().__init__()
        self._rungs: tuple[Rung, ...] = ()
        self._current = ""
        self._lines: list[Rung | None] = []
        self._spans: list[tuple[int, int, Rung]] = []

    def show(self, rungs: Sequence[Rung], current: str = "") -> None:
        """Show the stages and mark the current one."""
        before = (self._rungs, self._current)
        self._rungs, self._current = tuple(rungs), current
        if before != (self._rungs, self._current):
            self.refresh()

    def render(self) -> Content:
        """Draw as many rows as there are."""
        width, height = self.content_size
        self._lines, self._spans = [], []
        if not self._rungs or width < 1 or height < 1:
            return Content("")
        return self._row(width) if height < max(2, len(self._rungs)) else self._tower(width, height)

    def on_click(self, event: events.Click) -> None:
        """Choose the stage that was clicked."""
        spot = event.get_content_offset(self)
        if spot is None:
            return
        rung = self._lines[spot.y] if spot.y < len(self._lines) else None
        rung = rung or next((r for start, stop, r in self._spans if start <= spot.x < stop and spot.y == 0), None)
        if rung is not None:
            self.post_message(self.Chosen(self, rung.key))

    def _row(self, width: int) -> Content:
        plain = ascii_only(self)
        gap = "; " if plain else " · "
        line = Content("")
        shown = [Rung(key=r.key, name=safe(r.name, plain), state=r.state) for r in self._rungs]
        at = next((i for i, r in enumerate(shown) if r.key == self._current), 0)
        for text, rung in folded(shown, shown[at].key, width):
            start = line.cell_length + (len(gap) if line.plain else 0)
            original = next((r for r in self._rungs if rung is not None and r.key == rung.key), None)
            style = f"bold {INK_OF_STATE[original.state]}" if original and rung is shown[at] else "$text-muted"
            piece = Content.styled(fit(text, width, plain=plain).rstrip(), style)
            line = Content.assemble(line, gap, piece) if line.plain else piece
            if original is not None:
                self._spans.append((start, line.cell_length, original))
        return line

    def _tower(self, width: int, height: int) -> Content:
        plain = ascii_only(self)
        two = height >= 2 * len(self._rungs)
        airy = height >= 3 * len(self._rungs)
        rail, knot = ("|", "+") if plain else ("│", "├")
        lines: list[Content] = []
        for rung in self._rungs:
            here = rung.key == self._current
            mark, style = (">" if here else " "), INK_OF_STATE[rung.state]
            name = safe(rung.name, plain)
            tail = "" if two else f": {rung.state}"
            named = fit(name, min(cell_len(name), max(1, width - 2 - len(tail))), plain=plain)
            label = fit(f"{mark}{named}{tail}", width - 1, plain=plain).rstrip()
            lines.append(Content.assemble((knot, "$secondary"), (label, "bold" if here else "")))
            self._lines.append(rung)
            if two:
                lines.append(
                    Content.assemble(
                        (rail, "$secondary"), "   ", (fit(rung.state, width - 4, plain=plain).rstrip(), style)
                    )
                )
                self._lines.append(rung)
            if airy:
                lines.append(Content.styled(rail, "$secondary"))
                self._lines.append(None)
        return Content("\n").join(lines)
