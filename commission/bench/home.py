"""The workshop: which build needs what next, what runs now, and a new build by its name."""

import re
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.text import clip
from commission.bench.ask import Flow, Question, asked_once, command, some_text
from commission.bench.deed import Deed
from commission.bench.face import Face, Start
from commission.bench.needs import Need, need_of
from commission.bench.no_name import refuse_no_name
from commission.bench.operator import operator_deed
from commission.bench.running import may_run, what_runs
from commission.record.fold import BuildState
from commission.record.logbook import BuildRow, Logbook

if TYPE_CHECKING:
    from commission.procedure.model import Help

LOOKED_BACK = 9
"""Entries at the end among which the build is looked for that was worked on last; our choice: a start writes two."""

NEAR = 0.85
"""How alike a typed name is to that of a build before that is offered, 0 to 1; our choice: a slip in seven letters, and
South tower is not North tower."""


UNITS = "units psi fl oz degF: shows amounts in these units"
PUT_AWAY = (
    "put away NAME: leaves it out of the list; all is kept",
    "away: lists what was put away",
    "bring back NAME: lists a build again",
    "NEW like NAME: starts a build with the parts and the plan of another",
)
"""What else a line among the builds may be."""


_LIKE = re.compile(r"(?:(.+) )?like (.+)", re.IGNORECASE)
"""A new build's name, and that of the one that it is like."""


class HomeFlow(Flow):
    """Asks who works, then which build; folds a build only when it is looked at."""

    def __init__(self, book: Logbook, faces: tuple[Face, ...]) -> None:
        super().__init__()
        self.book = book
        self.faces = faces
        self.chosen = ""
        """Id of the build that was chosen last."""
        self.builds: tuple[BuildRow, ...] = ()
        """The builds that are listed: those in which something runs first, then the one opened last."""
        self.highlighted: BuildRow | None = None
        """The build under the cursor."""
        self.shows_away = False
        """Whether the builds that were put away are listed, and no others."""
        self._new = ""
        self._needs: dict[str, Need] = {}
        self._may_run: list[BuildState] | None = None
        self._runs: tuple[str, ...] = ()
        self.refresh()

    def refresh(self) -> None:
        """Read the list of builds again; what they need is found again when it is looked at."""
        super().refresh()
        self._all = self.book.builds()
        self._away = self.book.away()
        self.operator = self.book.shop().operator
        self._needs.clear()
        self._may_run = None
        self._list()

    def _list(self) -> None:
        away, runs = self._away, self._runs
        if self.shows_away:
            self.builds = tuple(row for row in self._all if row.build_id in away)
        elif away or runs:
            first = [row for build_id in runs for row in self._all if row.build_id == build_id]
            others = (row for row in self._all if row.build_id not in runs and row.build_id not in away)
            self.builds = (*first, *others)
        else:
            self.builds = self._all

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
        found = what_runs(self.book, self.faces, self._may_run)
        runs = tuple(dict.fromkeys(build_id for build_id, _ in found))
        if runs != self._runs:
            self._runs = runs
            self._list()
        return [line for _, line in found]

    def first(self) -> str:
        """Return the build that is proposed at first: where something runs, else the one that was worked on last."""
        if self._runs:
            return self._runs[0]
        head = self.book.head().seq
        for seq in range(head, max(0, head - LOOKED_BACK), -1):
            entry = self.book.log.entry(seq)
            if entry is not None and entry.build and any(row.build_id == entry.build for row in self.builds):
                return entry.build
        return ""

    def help(self) -> "Help":
        """Return what there is to know here."""
        from commission.procedure.model import Help

        return Help(
            purpose="One line a build: the state of the stage whose turn it is, and what the build needs next. What "
            "runs now stands above. Choose a build with up and down and Enter, or type the name of a new one. put away "
            "and a name leaves a build out; away lists those; bring back and a name undoes it.",
            good="Every build says passed, or what it waits for.",
            bad=(
                "A hold that runs goes on while this program is closed: open its build and type "
                "a reading. Open a second window after the first: it shows, and does not record."
            ),
        )

    # --- questions -------------------------------------------------------------------------------------------

    def question(self) -> Question:
        """Return what is asked now."""
        if not self.operator and not self.book.read_only_because:
            return self._operator()
        return self._whether(self._new) if self._new else self._which()

    def answer(self, text: str) -> str:
        """Do what was answered and return a line that says so.

        Raises
        ------
        CommissionError
            If it cannot be done.
        """
        self.chosen = ""
        done = self._now.deed(text).done()
        self._now.forget()  # the list is read again only where the answer changed it
        return done

    def back(self) -> bool:
        """Leave the question whether to start a build, or the builds that were put away; return whether one was."""
        had = bool(self._new) or self.shows_away
        self._new, self.shows_away = "", False
        self._list()
        return had

    def _named_operator(self, text: str) -> Deed:
        named = operator_deed(self.book, some_text("a name", 80)(text))

        def do() -> str:
            said = named.done()
            self.operator = self.book.shop().operator
            return said

        return Deed(told=f"from now on: {named.told}", do=do)

    def _operator(self) -> Question:
        return asked_once(
            self._named_operator,
            key="operator",
            ask="Who works at this bench? Type a name; it stands beside every entry.",
            hint="On any line: units psi fl oz degF shows amounts in these units.",
            words=("a name: who works from now on", UNITS),
        )

    def _which(self) -> Question:
        under = self.highlighted
        ask = "Choose a build, or type the name of a new one." if self._all else "Name the first build."
        hint = (
            "Up and down choose; Enter opens it. · put away · away" if self._all else "whatever you call the computer"
        )
        starters = {word: one for face in self.faces for word, one in face.starters.items()}
        ways = [f"{word} NAME" if self._all else one.example for word, one in starters.items()]
        hint = " · ".join([hint, *ways])
        does = "opens"
        if self.book.read_only_because:
            ask, hint = "Choose a build to look at: this window only shows.", "Up and down choose; Enter opens it."
        elif self.shows_away:
            ask, hint, does = (
                "These builds were put away.",
                "Enter brings one back; Esc: the other builds.",
                "brings back",
            )
        return asked_once(
            self._deed,
            key="build",
            ask=ask,
            hint=hint,
            words=self._words(),
            proposal=under.name if under else None,
            placeholder=f"Enter {does} {under.name}" if under else "such as: North tower",
        )

    def _words(self) -> tuple[str, ...]:
        """Return what a line may be among the builds; any text is a name, so that no reader tells it."""
        if self.book.read_only_because:
            return ("the name of a build: opens it", "away: lists what was put away", UNITS)
        starters = (one.example for face in self.faces for one in face.starters.values())
        return (
            "a name: opens that build, or asks whether to start it" if self._all else "a name: starts the first build",
            *(f"{example}: starts a build and its plan in one line" for example in starters),
            *(PUT_AWAY if self._all else ()),
            "operator NAME: who works from now on",
            "leak, spill, smoke or burst: what to do first",
            UNITS,
        )

    def _whether(self, name: str) -> Question:
        near = self._near(name)
        mend = (("yes", "y"), self._opening(near)) if near else None
        new = Deed(told=f'a new build, "{name}"', do=lambda: self._open(name))

        def deed(text: str) -> Deed:
            word = text.strip().casefold()
            if mend is not None and word in mend[0]:
                return mend[1]
            if word in (("new",) if near else ("yes", "y", "new")):
                return new
            if word in ("no", "n"):
                return Deed(told="no new build", do=self._no_new)
            return self._deed(text)

        asks = f'Start a new build called "{name}"?' if near is None else f'Did you mean "{near.name}"?'
        opens, or_type = ("", "yes or no") if near is None else ("opens it · new starts the other", "yes, new or no")
        return asked_once(
            deed,
            key="start",
            ask=f'There is no build "{name}". {asks}',
            hint=f"{f'yes {opens}'.strip()} · no · or the name of another build",
            placeholder=f"type {or_type}",
            words=(f"{or_type}: answers the question", *self._words()),
        )

    def _near(self, name: str) -> BuildRow | None:
        """Return the one build whose name begins with what was typed, or is nearly that."""
        from difflib import get_close_matches  # here: the first picture needs none

        rows = {" ".join(row.name.split()).casefold(): row for row in self._all}
        wanted = name.casefold()
        found = [key for key in rows if key.startswith(wanted)] or get_close_matches(wanted, rows, n=2, cutoff=NEAR)
        return rows[found[0]] if len(found) == 1 else None

    def _deed(self, text: str) -> Deed:
        row = self._row(text)
        if row is not None:
            return self._opening(row)
        word, rest = command(text, ("put", "bring", "away", "operator"))
        if word == "operator" and rest:
            return self._named_operator(rest)
        if word == "away" and not rest:
            return self._away_deed()
        if (word, rest.casefold()[:4]) in (("put", "away"), ("bring", "back")):
            return self._listing(self._named(rest[4:]), away=word == "put")
        starters = {word: one for face in self.faces for word, one in face.starters.items()}
        word, rest = command(text, tuple(starters))
        if word:
            start = starters[word].start(self.book, rest)
            return Deed(told=start.told, do=lambda: self._started(start))
        like = self._like(text)
        if like is not None:
            return like
        name = " ".join(some_text("a name", 80)(text).split())
        self._refuse_a_list(name)
        refuse_no_name(name)
        if not self._all:
            return Deed(told=f'a new build, "{name}"', do=lambda: self._open(name))
        return Deed(
            told=f'no build is called "{name}"; Enter asks whether to start one', do=lambda: self._ask_new(name)
        )

    def _like(self, text: str) -> Deed | None:
        """Return what starts a build like another, such as ``Grey Owl like North tower``; None where none is named."""
        found = _LIKE.fullmatch(" ".join(text.split()))
        row = self._row(found[2]) if found else None
        if found is None or row is None:
            return None
        name = found[1]
        if not name:
            raise InputError(f"type the name of the new build first: NEW like {row.name}")
        self._refuse_a_list(name)
        refuse_no_name(name)
        self.book.refuse_nothing_like(row.build_id)

        def do() -> str:
            from commission.bench.like import like_deed

            self._open(name)
            return like_deed(self.book, self.chosen, row.build_id).done()

        return Deed(told=f'a new build, "{name}", like "{row.name}": its parts and its plan', do=do)

    def _refuse_a_list(self, name: str) -> None:
        """Refuse the name of a list of the workshop, which opens by its key."""
        for shop in (one for face in self.faces for one in face.shop):
            if shop.key is not None and name.casefold() in (shop.name.casefold(), shop.title.casefold()):
                raise InputError(f"{clip(name)} is no build: {shop.key.key.upper()} opens that list")

    def _listing(self, row: BuildRow, *, away: bool) -> Deed:
        if away:
            return Deed(told=f'put away "{row.name}"; everything of it stays', do=lambda: self._put_away(row))
        return Deed(told=f'bring back "{row.name}"', do=lambda: self._bring_back(row))

    def _opening(self, row: BuildRow) -> Deed:
        if row.build_id in self._away and row.build_id not in self._runs:
            return self._listing(row, away=False)
        return Deed(told=f'open "{row.name}"', do=lambda: self._choose(row.build_id))

    def _away_deed(self) -> Deed:
        if not self._away:
            raise InputError("no build was put away; put away and a name does that")

        def do() -> None:
            self.shows_away = True
            self._list()

        return Deed(told=f"list what was put away: {len(self._away)}", do=do)

    def _named(self, name: str) -> BuildRow:
        row = self._row(name) if name.strip() else self.highlighted
        if row is None:
            raise InputError(
                f"there is no build {clip(name.strip())}" if name.strip() else "type the build's name, too"
            )
        return row

    def _choose(self, build_id: str) -> None:
        self.chosen, self._new = build_id, ""

    def _ask_new(self, name: str) -> None:
        self._new = name

    def _no_new(self) -> None:
        self._new = ""

    def _open(self, name: str) -> None:
        self.chosen, self._new = self.book.open_build(name), ""
        self.refresh()

    def _started(self, start: Start) -> str:
        self.chosen, self._new = start.do(), ""
        self.refresh()
        return start.told

    def _put_away(self, row: BuildRow) -> str:
        self.book.put_away(row.build_id)
        self.refresh()
        return f'"{row.name}" is put away; away lists it, bring back {row.name} undoes it'

    def _bring_back(self, row: BuildRow) -> str:
        self.book.bring_back(row.build_id)
        self.shows_away = False
        self.refresh()
        return f'"{row.name}" is listed again'

    def _row(self, text: str) -> BuildRow | None:
        if self.highlighted is not None and text == self.highlighted.name:
            return self.highlighted
        wanted = " ".join(text.split()).casefold()
        return next((row for row in self._all if " ".join(row.name.split()).casefold() == wanted), None)
