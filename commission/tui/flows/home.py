"""The workshop: which build needs what next, what runs now, and a new build by its name."""

from commission.domain.coolant_entries import BleedClosed, BleedStarted, CoolantPoured, FillClosed
from commission.domain.coolant_fold import BLEED, FILL
from commission.domain.entries import HoldClosed, HoldStarted
from commission.domain.state import BuildState
from commission.logbook.book import BuildRow, Logbook
from commission.tui.flows.ask import Question, some_text
from commission.tui.flows.figures import duration
from commission.tui.flows.needs import Need, need_of
from commission.tui.widgets.do_now import Prompt


class HomeFlow:
    """Asks who works, then which build; folds a build only when it is looked at."""

    def __init__(self, book: Logbook) -> None:
        self.book = book
        self.chosen = ""
        """Id of the build that was chosen last."""
        self.fresh = False
        """Whether it was opened just now."""
        self.highlighted: BuildRow | None = None
        """The build under the cursor."""
        self._needs: dict[str, Need] = {}
        self._running: list[BuildState] | None = None
        self._wet: list[BuildState] = []
        self.refresh()

    def refresh(self) -> None:
        """Read the list of builds again; what they need is found again when it is looked at."""
        self.builds = self.book.builds()
        self.operator = self.book.shop().operator
        self._needs.clear()
        self._running = None

    def known(self, build_id: str) -> Need | None:
        """Return what a build needs, where it was looked at already."""
        return self._needs.get(build_id)

    def look_at(self, build_id: str) -> Need:
        """Return what a build needs, folding it where that was not done yet."""
        if build_id not in self._needs:
            self._needs[build_id] = need_of(self.book, self.book.build(build_id))
        return self._needs[build_id]

    def running(self) -> list[str]:
        """Return a line for each hold, fill and bleed that runs now."""
        if self._running is None:
            started = self.book.log.entries_of_kind(HoldStarted.KIND)
            closed = {
                (e.build, e.payload.attempt)
                for e in self.book.log.entries_of_kind(HoldClosed.KIND)
                if isinstance(e.payload, HoldClosed)
            }
            ids = dict.fromkeys(
                e.build
                for e in started
                if isinstance(e.payload, HoldStarted) and (e.build, e.payload.attempt) not in closed
            )
            self._running = [self.book.build(build_id) for build_id in ids]
            self._wet = [self.book.build(build_id) for build_id in self._wet_ids()]
        return [*map(self._line, self._running), *(line for state in self._wet for line in _wet_lines(state))]

    def _wet_ids(self) -> list[str]:
        """Return the builds with a pour or a bleed after the last fill or bleed that was closed."""
        log = self.book.log
        open_since: dict[str, int] = {}
        for kind in (CoolantPoured.KIND, BleedStarted.KIND):
            for entry in log.entries_of_kind(kind):
                open_since[entry.build] = max(entry.seq, open_since.get(entry.build, 0))
        for kind in (FillClosed.KIND, BleedClosed.KIND):
            for entry in log.entries_of_kind(kind):
                if entry.seq > open_since.get(entry.build, 0):
                    open_since.pop(entry.build, None)
        return list(open_since)

    def _line(self, state: BuildState) -> str:
        elapsed, hold = self.book.hold.elapsed_s(state), state.hold
        end = hold.end_s or 0.0
        told = f"{state.name}, hold {duration(elapsed)} of {duration(end)}"
        if elapsed >= end:
            return f"{told}, over: it waits for its end"
        last = max((one.elapsed.elapsed_s for one in hold.readings), default=0.0)
        due = (hold.plan.every_s if hold.plan else 0.0) - (elapsed - last)
        return f"{told}, reading due in {duration(due)}" if due > 0 else f"{told}, reading OVERDUE by {duration(-due)}"

    # --- questions -------------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked now."""
        if not self.operator and not self.book.read_only_because:
            return self._operator()
        return self._which()

    def answer(self, text: str) -> str:
        """Do what was answered and return a line that says so.

        Raises
        ------
        CommissionError
            If it cannot be done.
        """
        self.chosen, self.fresh = "", False
        question = self.question()
        question.prompt.understand(text)
        return question.act(text)

    def _operator(self) -> Question:
        def act(text: str) -> str:
            self.book.name_operator(text)
            self.operator = self.book.shop().operator
            return f'"{self.operator}" works from now on'

        return Question(
            prompt=Prompt(
                key="operator",
                ask="Who works at this bench? Type a name; it stands beside every entry.",
                understand=some_text("a name", 80),
            ),
            act=act,
        )

    def _which(self) -> Question:
        under = self.highlighted

        def understand(text: str) -> str:
            row = self._row(text)
            name = some_text("a name", 80)(text)
            return f'open "{row.name}"' if row else f'a new build, "{" ".join(name.split())}"'

        def act(text: str) -> str:
            row = self._row(text)
            self.chosen = row.build_id if row else self.book.open_build(text)
            self.fresh = row is None
            if self.fresh:
                self.refresh()
            return ""

        return Question(
            prompt=Prompt(
                key="build",
                ask="Choose a build, or type the name of a new one." if self.builds else "Name the first build.",
                hint="Up and down choose; Enter opens it." if self.builds else "whatever you call the computer",
                proposal=under.name if under else None,
                placeholder=f"Enter opens {under.name}" if under else "such as: North tower",
                understand=understand,
            ),
            act=act,
        )

    def _row(self, text: str) -> BuildRow | None:
        if self.highlighted is not None and text == self.highlighted.name:
            return self.highlighted
        wanted = " ".join(text.split()).casefold()
        return next((row for row in self.builds if " ".join(row.name.split()).casefold() == wanted), None)


def _wet_lines(state: BuildState) -> list[str]:
    """Return a line for a fill or a bleed that goes on."""
    lines = []
    if state.run(FILL).running:
        number = sum(moved.stage == FILL for moved in state.moves)
        lines.append(f"{state.name}, fill: {number} amount{'' if number == 1 else 's'} so far")
    if state.run(BLEED).running:
        number = len(state.cycles)
        lines.append(f"{state.name}, bleed: {number} cycle{'' if number == 1 else 's'} so far")
    return lines
