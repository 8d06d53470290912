"""From place to place at the bench, as the keys of the screens lead: which is open, and what is left half answered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed
from commission.base.text import counted
from commission.bench.build_facts import rung_text, show_facts
from commission.bench.face import NO_SUCH_STAGE, face_of
from commission.bench.home import HomeFlow
from commission.bench.mishap.flow import MishapFlow
from commission.bench.mishap.told import Told
from commission.bench.needs import opens_at, stage_called, turn_of
from commission.bench.record import RecordFlow
from commission.bench.trail import Trail
from commission.bench.unsent import Unsent
from commission.record.sealed import require_sealed
from commission.report.flow import ReportFlow
from commission.shell.plain.places import FlowPlace, HomePlace, MishapPlace, Place, RecordPlace, ReportPlace
from commission.shell.plain.words import places_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.bench.ask import Flow
    from commission.bench.face import Face, ShopScreen
    from commission.bench.prompt import Prompt
    from commission.bench.unsent_kept import KeptUnsent
    from commission.procedure.model import Help
    from commission.record.logbook import Logbook

NO_BUILD = "no build is open; type the name of one first"
OF_A_BUILD = {"log": "record", "report": "report"}
"""Places of every build beside its stages, by our words for them."""


class Walk:
    """Where one is, and the way from there.

    Parameters
    ----------
    book, faces
        The logbook and the stages.
    kept
        Remembers the answers of forms that are not stored yet.
    """

    def __init__(self, book: Logbook, faces: tuple[Face, ...], kept: KeptUnsent) -> None:
        self.build_id = ""
        """The build that is open; empty at the builds."""
        self.moved = True
        """Whether the place is new since something was told."""
        self.stored = False
        """Whether the last line became an entry."""
        self.news: list[str] = []
        """What is to be told of the place that was gone to."""
        self._book, self._faces, self._kept = book, faces, kept
        self._home = HomePlace(HomeFlow(book, faces))
        self.place: Place = self._home
        """Where one is."""
        self.places = places_of(faces, {})
        """The words that lead to places."""
        self._beneath: Place = self._home
        self._trail = Trail()
        if not book.read_only_because:
            kept.load()

    # --- where one is ----------------------------------------------------------------------------------------

    @property
    def flow(self) -> Flow | None:
        """What asks at a stage or in a list of the workshop; None elsewhere."""
        return self.place.flow if isinstance(self.place, FlowPlace) else None

    @property
    def at_builds(self) -> bool:
        """Whether a build is asked for."""
        prompt = self.place.flow.now() if self.place is self._home else None
        return prompt is not None and prompt.key != "operator"

    def names_no_build(self, text: str) -> bool:
        """Return whether no build is called so."""
        wanted = " ".join(text.split()).casefold()
        return all(" ".join(row.name.split()).casefold() != wanted for row in self._book.builds())

    def help(self) -> Help | None:
        """Return what there is to know here: the place's own, or what the procedure of the build says."""
        own = self.place.flow.help()
        if own is not None or not self.build_id:
            return own
        return self._book.procedure(self._book.build(self.build_id)).stage(self.place.name).help

    def lines_of_build(self, word: str) -> Iterator[str]:
        """Yield where each stage stands, or by ``show`` all that is known; raises NotAllowed where no build is open."""
        if not self.build_id:
            raise NotAllowed(NO_BUILD)
        state = self._book.build(self.build_id)
        if word == "stages":
            yield from map(rung_text, self._book.ladder(state))
            return
        require_sealed(self._book, state)
        for fact in show_facts(self._book, self._faces, state):
            yield fact if isinstance(fact, str) else fact.line()

    # --- an answer -------------------------------------------------------------------------------------------

    def answer(self, prompt: Prompt, entered: str) -> str:
        """Do what was answered and return what was done; raises CommissionError where it cannot be."""
        before = self._book.stored
        done = self.place.flow.answer(entered)
        self.stored = self._book.stored != before
        if self.flow is not None and (self._trail.answers or not self.stored):
            self._trail.went(self.flow, prompt, entered, stored=self.stored, fresh=self._fresh)
        return done

    def go_on(self) -> None:
        """Go where the last answer leads."""
        place = self.place
        if isinstance(place, MishapPlace):
            if place.flow.over:
                self._arrive(self._beneath)
        elif isinstance(place, HomePlace):
            if place.flow.chosen:
                self.open(place.flow.chosen)
        elif isinstance(place, FlowPlace) and place.flow.did.calls:
            self.went_wrong(place.flow.did.calls, where=place.flow.did.at, seen=place.flow.did.seen)
        elif isinstance(place, FlowPlace) and place.flow.go:
            self.go(place.flow.go)

    # --- from place to place ---------------------------------------------------------------------------------

    def open(self, build_id: str) -> None:
        """Open a build where its turn is."""
        self._leave()
        self.build_id = build_id
        state = self._book.build(build_id)
        self.news += map(rung_text, self._book.ladder(state))
        self._enter(opens_at(self._book, self._faces, state))

    def go(self, name: str) -> None:
        """Go to a place of the build, or of the workshop."""
        self._leave()
        self._enter(name)

    def home(self) -> None:
        """Go to the builds."""
        self._leave()
        self.build_id = ""
        self._arrive(self._home)

    def went_wrong(self, word: str, *, where: str = "", seen: str = "") -> None:
        """Tell what to do first, from wherever one is."""
        if isinstance(self.place, MishapPlace):
            self.place.flow.call(word, where=where)
            self.moved = True
            return
        under = self._home.flow.highlighted if self.place is self._home else None
        told = Told(
            what=word, build_id=self.build_id, where=where, proposal=seen or ("the paper was wet" if where else None)
        )
        self._beneath = self.place
        flow = MishapFlow(self._book, told, near=None if under is None else under.name)
        self._arrive(MishapPlace(flow))

    def back(self) -> None:
        """Leave what is half answered, else the place."""
        if self.place.flow.step_back():
            if self.flow is not None:
                self._trail.left(self._book, self.flow, self._fresh)
        elif isinstance(self.place, MishapPlace):
            self._arrive(self._beneath)
        elif self.place is self._home:
            raise NotAllowed("these are the builds; leave ends")
        else:
            self.home()

    def go_to_stage(self, name: str) -> None:
        """Go to the stage of the build that a name means; raises InputError or NotAllowed where it cannot be."""
        if isinstance(self.place, MishapPlace):
            raise NotAllowed("answer first what went wrong; back leaves it without an entry")
        self.go(stage_called(self._book, self.build_id, name))

    def go_by_word(self, word: str, text: str) -> bool:
        """Go where a word leads; return whether it is one that leads anywhere. Raises NotAllowed where it does not."""
        name = OF_A_BUILD.get(word) or self.places.names.get(" ".join(text.casefold().split()), "")
        if word == "back":
            self.back()
            return True
        if not name and word not in ("builds", "next"):
            return False
        if isinstance(self.place, MishapPlace):
            raise NotAllowed("answer first what went wrong; back leaves it without an entry")
        if word == "builds":
            self.home()
        elif name in self._shop():
            self.go(name)
        elif not self.build_id:
            raise NotAllowed(NO_BUILD)
        else:
            self.go(name or turn_of(self._book, self._book.build(self.build_id)))
        return True

    # --- what is half answered -------------------------------------------------------------------------------

    def save(self) -> None:
        """Write down what is half answered here."""
        if not self._book.read_only_because:
            here = {self._where: self._unsent()} if isinstance(self._stays, FlowPlace) else {}
            self._kept.save(here)

    @property
    def _stays(self) -> Place:
        """The place beneath a card of what went wrong."""
        return self._beneath if isinstance(self.place, MishapPlace) else self.place

    @property
    def _where(self) -> tuple[str, str]:
        return self._stays.name, self.build_id

    def _unsent(self) -> Unsent:
        return Unsent(answers=self._trail.answers)

    def _leave(self) -> None:
        if isinstance(self._stays, FlowPlace):
            self._kept.leave(self._where, self._unsent())

    def _enter(self, name: str) -> None:
        place = self._made(name)
        self._trail = Trail()
        self._arrive(place)
        if not isinstance(place, FlowPlace):
            return
        unsent = self._kept.take(self._where)
        if taken := self._trail.go_again(self._book, place.flow, unsent.answers):
            self.news.append(f"{counted(taken, 'answer')} taken up again, not stored yet; back leaves them")
        self.news += [f"typed before and not entered: {line}" for line in unsent.lines]

    def _arrive(self, place: Place) -> None:
        self.place, self.moved = place, True
        stages = self._book.ladder(self._book.build(self.build_id)) if self.build_id else ()
        self.places = places_of(self._faces, {rung.stage.id: rung.stage.title for rung in stages})

    def _made(self, name: str) -> Place:
        face, shop = face_of(self._faces, name), self._shop().get(name)
        if face is not None:
            return FlowPlace(self._book, name, face.flow(self._book, self.build_id), self.build_id)
        if shop is not None:
            return FlowPlace(self._book, name, shop.flow(self._book), "")
        if name == "report":
            return ReportPlace(ReportFlow(self._book, self._faces, self.build_id))
        if name != "record":
            self.news.append(f"{name.replace('_', ' ')}: {NO_SUCH_STAGE}")
        return RecordPlace(RecordFlow(self._book, self.build_id))

    def _shop(self) -> dict[str, ShopScreen]:
        return {shop.name: shop for face in self._faces for shop in face.shop}

    def _fresh(self) -> Flow:
        """Return a flow of this place that knows the record alone."""
        made = self._made(self.place.name)
        assert isinstance(made, FlowPlace)  # the same name makes the same kind of place
        return made.flow
