"""The workshop: which build needs what next, what runs now, and a new build by its name."""

from commission.bench.ask import Question, asked_once, some_text
from commission.bench.deed import Deed
from commission.bench.face import Face
from commission.bench.needs import Need, need_of
from commission.bench.operator import operator_deed
from commission.bench.prompt import Prompt
from commission.bench.running import may_run, running_lines
from commission.record.fold import BuildState
from commission.record.logbook import BuildRow, Logbook


class HomeFlow:
    """Asks who works, then which build; folds a build only when it is looked at."""

    def __init__(self, book: Logbook, faces: tuple[Face, ...]) -> None:
        self.book = book
        self.faces = faces
        self.chosen = ""
        """Id of the build that was chosen last."""
        self.fresh = False
        """Whether it was opened just now."""
        self.highlighted: BuildRow | None = None
        """The build under the cursor."""
        self._needs: dict[str, Need] = {}
        self._may_run: list[BuildState] | None = None
        self.refresh()

    def refresh(self) -> None:
        """Read the list of builds again; what they need is found again when it is looked at."""
        self.builds = self.book.builds()
        self.operator = self.book.shop().operator
        self._needs.clear()
        self._may_run = None

    def known(self, build_id: str) -> Need | None:
        """Return what a build needs, where it was looked at already."""
        return self._needs.get(build_id)

    def look_at(self, build_id: str) -> Need:
        """Return what a build needs, folding it where that was not done yet."""
        if build_id not in self._needs:
            self._needs[build_id] = need_of(self.book, self.faces, self.book.build(build_id))
        return self._needs[build_id]

    def running(self) -> list[str]:
        """Return a line for each thing that runs now, a pump that runs alone first."""
        if self._may_run is None:
            self._may_run = may_run(self.book, self.faces)
        return running_lines(self.book, self.faces, self._may_run)

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
        return self.question().deed(text).do()

    def _operator(self) -> Question:
        def deed(text: str) -> Deed:
            named = operator_deed(self.book, some_text("a name", 80)(text))

            def do() -> str:
                said = named.do()
                self.operator = self.book.shop().operator
                return said

            return Deed(told=named.told, do=do)

        return asked_once(
            Prompt(
                key="operator",
                ask="Who works at this bench? Type a name; it stands beside every entry.",
            ),
            deed,
        )

    def _which(self) -> Question:
        under = self.highlighted
        return asked_once(
            Prompt(
                key="build",
                ask="Choose a build, or type the name of a new one." if self.builds else "Name the first build.",
                hint="Up and down choose; Enter opens it." if self.builds else "whatever you call the computer",
                proposal=under.name if under else None,
                placeholder=f"Enter opens {under.name}" if under else "such as: North tower",
            ),
            self._deed,
        )

    def _deed(self, text: str) -> Deed:
        row = self._row(text)
        name = some_text("a name", 80)(text)
        if row is not None:
            return Deed(told=f'open "{row.name}"', do=lambda: self._choose(row.build_id))
        return Deed(told=f'a new build, "{" ".join(name.split())}"', do=lambda: self._open(name))

    def _choose(self, build_id: str) -> str:
        self.chosen = build_id
        return ""

    def _open(self, name: str) -> str:
        self.chosen, self.fresh = self.book.open_build(name), True
        self.refresh()
        return ""

    def _row(self, text: str) -> BuildRow | None:
        if self.highlighted is not None and text == self.highlighted.name:
            return self.highlighted
        wanted = " ".join(text.split()).casefold()
        return next((row for row in self.builds if " ".join(row.name.split()).casefold() == wanted), None)
