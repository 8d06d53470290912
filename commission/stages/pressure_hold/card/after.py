"""After the hold: pressure down first, then what was found, what was done, and the retest."""

from functools import partial
from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.bench.ask import Question, asked_once, choice_of, command, one_of, some_text
from commission.bench.attempts import closed_row, judged_line, stale_since
from commission.bench.card import CardContent, Figure, chosen
from commission.bench.deed import Deed
from commission.bench.defect import ask_cure, found_deed
from commission.bench.figures import difference, duration, faces_text
from commission.bench.words_here import refuse_renamed
from commission.procedure.model import When
from commission.record.mishaps import Mishaps
from commission.stages.pressure_hold.card.search import Searching
from commission.stages.pressure_hold.rows.attempts import attempt_figures, attempt_stories
from commission.stages.pressure_hold.rows.plan import assumed_text
from commission.stages.pressure_hold.rows.search import search_rows
from commission.stages.pressure_hold.rows.verdict import (
    AT_THE_END,
    figures_of,
    reasons_of,
    rules_of,
    usual_units,
)
from commission.stages.pressure_hold.state.attempt import judged_hold, search_under_pressure
from commission.stages.pressure_hold.state.found import (
    fault_is_to_be_found,
    fell_fast,
    not_repaired,
    repaired_since,
    search_is_open,
)
from commission.stages.pressure_hold.typed.after import let_down_deed
from commission.stages.pressure_hold.typed.search import seen_deed
from commission.stages.pressure_hold.work.holds import PLACES
from commission.stages.pressure_hold.work.let_down import zero_text
from commission.stages.pressure_hold.work.rows_again import ROWS_AGAIN
from commission.stages.pressure_hold.work.searches import RIG

if TYPE_CHECKING:
    from commission.base.quantity import Phrase
    from commission.record.fold import Finding
    from commission.stages.pressure_hold.at_hand import HoldAtHand
    from commission.stages.pressure_hold.model import HoldPicture
    from commission.stages.pressure_hold.state.attempt import HoldAttempt


_SEARCH = {"search": "search: parts the loop off, half by half"}
_SEEING = {"seen": "seen PART and what: what is seen or heard under pressure", **_SEARCH}


class After:
    """Asks for what follows a judged hold."""

    def __init__(self, hand: "HoldAtHand") -> None:
        self.hand = hand
        self.raising = False
        self.where = ""
        self.part_id: str | None = None
        self.part_asked = False
        self.spot = ""
        """Suspect of the search that is no part of the sheet, such as a joint; it goes into the note."""
        self.searching = Searching(hand, self._write_down)
        """The leak search."""

    @property
    def judged(self) -> "HoldAttempt":
        """The attempt that was judged last."""
        judged = judged_hold(self.hand.state)
        if judged is None or judged.closed is None:
            raise InputError("no hold was judged yet")
        return judged

    @property
    def let_down(self) -> bool:
        """Whether the pressure was reported let down since the end of that hold."""
        return self.judged.let_down

    @property
    def vented(self) -> bool:
        """Whether nothing is under pressure, neither from that hold nor from a leak search."""
        return self.let_down and not search_under_pressure(self.hand.state)

    @property
    def outcome(self) -> Outcome:
        """What it proved."""
        closed = self.judged.verdict_entry
        return closed.verdict.outcome if closed else Outcome.INVALID

    @property
    def _reasons(self) -> "tuple[Phrase, ...]":
        closed = self.judged.verdict_entry
        return closed.verdict.reasons if closed else ()

    @property
    def picture(self) -> "HoldPicture | None":
        """What the curve shows: the readings judged again, since no verdict keeps its picture."""
        verdict = self.hand.work.verdict(self.hand.state)
        return None if verdict is None else verdict.picture

    def back(self) -> bool:
        """Leave a half-typed finding."""
        had = self.raising or bool(self.where) or self.searching.asked
        self.searching.asked = False
        self.raising, self.where, self.part_id, self.part_asked = False, "", None, False
        self.spot = ""
        return had

    def question(self) -> Question:
        """Return what is asked now: the pressure comes before everything else."""
        search = self.judged.search
        open_ = self.searching.asked or search is not None
        to_be_found = fault_is_to_be_found(self.hand.state) or (open_ and search_is_open(self.hand.state))
        if not self.let_down and (search is None or search.pumped is None or not to_be_found):
            return self._searched_by_eye() if to_be_found and search is None else self._down()
        if to_be_found and not self.raising and not self.where:
            asked = self.searching.question()
            if asked is not None:
                return asked
        if self.raising or to_be_found:
            return self._finding()
        waiting = not_repaired(self.hand.state)
        if waiting:
            return self._cure(waiting[0])
        return self._next()

    # --- questions -------------------------------------------------------------------------------------------

    def _down(self) -> Question:
        plan = self.judged.plan
        if plan is None:
            raise InputError("the hold has no plan; type a note")
        gauge = plan.gauge
        return asked_once(
            lambda text: let_down_deed(self.hand, text),
            key="let down",
            ask="Let the pressure down to zero before you touch anything. What does the gauge show?",
            hint=f"Open the valve slowly, eyes away from it. Here {zero_text(gauge)}{faces_text(gauge)}.",
            placeholder="what the gauge shows",
        )

    def _searched_by_eye(self) -> Question:
        """Ask for what is seen under pressure; zero on the gauge ends that, for only then a hand touches the loop."""
        gauge = self.hand.work.last_gauge(self.hand.state)

        def deed(text: str) -> Deed:
            word, rest = command(text, _SEEING)
            if word == "search":
                raise InputError("vent first and type what the gauge shows; then search parts the loop off")
            return seen_deed(self.hand, rest) if word else let_down_deed(self.hand, text)

        return asked_once(
            deed,
            key="let down",
            ask="Search by eyes, ears, bubbles: eye protection on, hands off fittings. Vented? Type the gauge.",
            hint=f"seen PART and what · or the gauge, vented: {zero_text(gauge)}{faces_text(gauge)}",
            placeholder="what the gauge shows once it is vented",
        )

    def _finding(self) -> Question:
        if not self.where:
            return self._where()
        if self.hand.state.parts and not self.part_asked and self.where in ("part", "seal", "fitting"):
            return self._which_part()
        return self._what()

    def _where(self) -> Question:
        places = {place: place for place in PLACES}
        search = self.judged.search
        left = () if search is None or self.spot else search.left

        def deed(text: str) -> Deed:
            named = next((one for one in left if one.casefold() == " ".join(text.casefold().split())), None)
            if named is not None:
                return Deed(told=named, do=lambda: self._at_suspect(named))
            if text.strip().casefold() == "search" and search_is_open(self.hand.state):
                return self._search_deed()
            place = one_of(text, places, "place")
            return Deed(told=place, do=lambda: self._at_place(place))

        return asked_once(
            deed,
            key="where",
            ask="Where was the leak? Look where hands were last; soapy water shows bubbles.",
            hint="".join(f"{one} · " for one in left)
            + "fitting · seal · part · rig (pump, hose, gauge of the test) · unknown"
            + (" · search: clamp and try" if search_is_open(self.hand.state) else ""),
        )

    def _search_deed(self) -> Deed:
        def do() -> None:
            self.raising = False
            self.searching.ask()

        return Deed(told="part the loop off to find it", do=do)

    def _at_place(self, place: str) -> None:
        self.where = place

    def _which_part(self) -> Question:
        parts = {part.part_id: part.name for part in self.hand.state.parts}
        search = self.judged.search
        known = {RIG, *parts.values()}
        spots = [] if search is None else [one for one in search.suspects if one not in known]
        names = {**parts, **{f"suspect {one}": one for one in spots}}

        def deed(text: str) -> Deed:
            if text.strip().casefold() in ("none", "no"):
                return Deed(told="no part of the sheet", do=lambda: self._at_part(None))
            key = one_of(text, names, "part")
            if key not in parts:
                return Deed(told=names[key], do=lambda: self._at_part(None, spot=names[key]))
            return Deed(told=names[key], do=lambda: self._at_part(key))

        return asked_once(
            deed,
            key="which part",
            ask=f"At which part was the {self.where}?" if self.where != "part" else "Which part was it?",
            hint=" · ".join(f"{n} {name}" for n, name in enumerate(names.values(), 1)),
            proposal="none",
        )

    def _at_part(self, part_id: str | None, spot: str = "") -> None:
        self.part_id, self.part_asked, self.spot = part_id, True, spot

    def _what(self) -> Question:
        return asked_once(
            lambda text: found_deed(some_text("what was found")(text), self.where, self._found),
            key="what",
            ask="What was it?",
            hint="in a few words, such as: seal pinched under the lower port",
        )

    def _found(self, note: str) -> None:
        note = f"{self.spot}: {note}" if self.spot else note
        self.hand.work.raise_finding(self.hand.build_id, where=self.where, part_id=self.part_id, note=note)
        self.back()

    def _cure(self, finding: "Finding") -> Question:
        hint = "such as: new seal, greased, screwed home by hand; only the retest shows whether it worked"
        return ask_cure(finding, hint, partial(self.hand.book.work(Mishaps).repaired, self.hand.build_id))

    def _write_down(self) -> None:
        """Go on to what was found, with the place known where the search has named a part or the rig."""
        found = "" if self.judged.search is None else self.judged.search.found
        self.raising = True
        self._at_suspect(found)

    def _at_suspect(self, found: str) -> None:
        """Take a suspect of the search as the place: a part of the sheet, the rig, or a joint in its own words."""
        self.part_id = next((part.part_id for part in self.hand.state.parts if part.name == found), None)
        if self.part_id is not None or found == RIG:
            self.where, self.part_asked = ("rig" if found == RIG else "part"), True
        elif found:
            self.spot, self.part_asked = found, True

    def _raise(self) -> None:
        self.raising = True

    def _next(self) -> Question:
        passed = self.outcome is Outcome.PASS and self.judged.stale_by is None
        onward = self.hand.onward_deeds() if passed else ()
        search = search_is_open(self.hand.state)

        def deed(text: str) -> Deed:
            if search and command(text, _SEARCH) == ("search", ""):
                return self._search_deed()
            refuse_renamed(text, {"retest": "again", "finding": "defect"})
            if command(text, ("defect",))[0]:
                return Deed(told="record a defect that was found", do=self._raise)
            word, rest = command(text, ("note",))
            if word:
                return self.hand.note_deed(rest)
            return choice_of(text, *onward, (("again", "yes"), self.hand.again_deed()))

        if not passed:
            ask, hint = f"{self._advice()} Enter starts attempt {self.judged.attempt + 1}.", "again · defect · note"
            hint = f"search: clamp and try · {hint}" if search else hint
        else:
            ask, hint = "Passed.", "again · defect · note"
        proposal = "next" if onward else None if passed else "again"
        return asked_once(
            deed,
            key=f"after {proposal}",
            ask=f"{ask} Next: {onward[0][0][-1]}." if onward else ask,
            hint=hint,
            proposal=proposal,
            placeholder="" if proposal else "type again or defect",
        )

    def _advice(self) -> str:
        if self.judged.stale_by is not None:
            return "Hold again before you go on. F4 shows the change."
        match self.outcome:
            case Outcome.FAIL:
                return "Repair logged; only another hold proves it."
            case Outcome.INCONCLUSIVE if repaired_since(self.hand.state):
                return "Repair logged; only another hold proves it."
            case Outcome.INCONCLUSIVE:
                fast = fell_fast(self.judged)
                if fast is not None and self.judged.plan is not None:
                    told = f"{difference(fast[0], self.judged.plan.gauge.unit)} fell in {duration(fast[1])}"
                    return f"{told}: most likely a leak at the rig or a joint. Look there first."
                if any(reason.code == ROWS_AGAIN for reason in self._reasons):
                    return "Not a pass: take over this hold's own file, or hold again."
                return "Not a pass: hold longer, read finer, or add a thermometer."
            case _:
                return "Readings unusable. Fix the cause, then hold again."

    def _search(self) -> tuple[Figure, ...]:
        """Return what is left of the suspects, and the tries, the last one first."""
        if self.judged.search is None:
            return ()
        left, *tries = search_rows(self.judged.search)
        return (left, *reversed(tries))

    def _notices(self) -> tuple[str, ...]:
        """Return the cautions of the search while a leak is to be found: those of a loop under pressure, or vented.

        A search with clamps pumps it up again, so then both stand.
        """
        if not fault_is_to_be_found(self.hand.state):
            return ()
        told = self.hand.work.cautions(self.hand.state, When.SEARCH)
        over = "shards" if not self.let_down else "search_by_eye" if self.judged.search is None else ""
        return tuple(one.text for one in told if one.id != over)

    # --- the card --------------------------------------------------------------------------------------------

    def card(self, card: CardContent) -> CardContent:
        """Return the card with the verdict, its reasons and every attempt."""
        judged, closed = self.judged, self.judged.verdict_entry
        if closed is None or judged.plan is None:
            return card
        usual = usual_units(judged.plan)
        reasons = reasons_of(closed.verdict, usual)
        return replace(
            card,
            step=f"attempt {judged.attempt}",
            verdict=judged_line(judged, self.outcome, reasons[0] if reasons else ""),
            figures=(
                *self._search(),
                *chosen(figures_of(closed.verdict, judged.plan.gauge), AT_THE_END),
                *closed_row(judged, str(closed.ending)),
                *attempt_figures(self.hand.state),
            ),
            plot=True,
            assumed=assumed_text(judged.plan),
            notices=self._notices(),
            reasons=(
                *stale_since(judged, reasons[0] if reasons else ""),
                *attempt_stories(self.hand.state),
                *reasons[1:],
                *rules_of(closed.verdict, usual),
                *filter(None, (assumed_text(judged.plan),)),
            ),
        )
