"""The leak search after a hold that leaked: what parts the loop off next, the gauge before and after, what is left."""

from typing import TYPE_CHECKING

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.bench.ask import Question, asked_once, command
from commission.bench.deed import Deed
from commission.bench.figures import faces_text, forecast
from commission.stages.pressure_hold.entries import SearchPumped
from commission.stages.pressure_hold.rows.search import left_text
from commission.stages.pressure_hold.state.search import Search
from commission.stages.pressure_hold.typed.search import begin_deed, search_deed, searched
from commission.stages.pressure_hold.work.searches import clear_after_s, noise_of
from commission.units.show import show

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.stages.pressure_hold.at_hand import HoldAtHand


class Searching:
    """Asks for the suspects and for each try.

    Parameters
    ----------
    hand
        The hold that is worked on.
    write_down
        Goes on to write down what was found; returns what is said of it.
    """

    def __init__(self, hand: "HoldAtHand", write_down: "Callable[[], None]") -> None:
        self.hand = hand
        self.write_down = write_down
        self.asked = False
        """Whether the suspects are asked for."""

    @property
    def search(self) -> Search | None:
        """The search of the hold that was judged last; None where none was begun."""
        return searched(self.hand).search

    def ask(self) -> None:
        """Ask for the suspects; nothing is recorded yet, and there is nothing to say."""
        self.asked = True

    def question(self) -> Question | None:
        """Return what the search asks now; None where it is not on, or what was found is written down next."""
        search = self.search
        if search is None or self.asked:
            return self._suspects() if self.asked else None
        if search.pumped is not None and isinstance(search.pumped.payload, SearchPumped):
            return self._try(search.pumped.payload)
        return self._part_off(search)

    def _suspects(self) -> Question:
        def deed(text: str) -> Deed:
            begun = begin_deed(self.hand, text)

            def do() -> str:
                said = begun.done()
                self.asked = False
                return said

            return Deed(told=begun.told, do=do)

        names = [part.name for part in self.hand.state.tested_parts]
        return asked_once(
            deed,
            key="suspects",
            ask="Name the parts and joints in order, from the gauge on, with commas between them.",
            hint="the test rig itself is tried too · Esc: no search",
            proposal=", ".join(names) if len({name.casefold() for name in names}) == len(names) > 0 else None,
        )

    def _part_off(self, search: Search) -> Question:
        cut, faces = search.next_cut, faces_text(self.hand.work.last_gauge(self.hand.state))

        def deed(text: str) -> Deed:
            word, rest = command(text, ("found", "again"))
            if word and not rest:
                done = self.write_down if word == "found" else self.ask
                return Deed(told="write down what was found" if word == "found" else "name the suspects again", do=done)
            if word:
                raise InputError(f"type {word} alone")
            return search_deed(self.hand, text)

        if cut:
            hint = f"found: it is known by now · behind PART GAUGE: another place · again: other suspects{faces}"
            ask = (
                f"Gauge at 0: clamp or plug behind {cut}. Eye protection on, pump up, let it settle. What does it show?"
            )
        else:
            hint = f"found: write it down · behind {search.suspects[-1]} GAUGE: try the whole loop · again{faces}"
            ask = f"Left: {left_text(search)}. Type found and write it down."
        return asked_once(deed, key=f"part off {len(search.tries)} {cut}", ask=ask, hint=hint)

    def _try(self, pumped: SearchPumped) -> Question:
        hold = searched(self.hand)
        unit = hold.plan.gauge.unit if hold.plan is not None else None
        wait = forecast(clear_after_s(hold, pumped.gauge.si))
        faces = faces_text(self.hand.work.last_gauge(self.hand.state))
        noise = show(noise_of(hold, pumped.gauge.si), Quantity.PRESSURE_DIFFERENCE, unit=unit, digits=3)
        return asked_once(
            lambda text: search_deed(self.hand, text),
            key="try",
            ask=f"Wait {wait}, hands off, look and listen. Then type the gauge.",
            hint=f"a fall of more than {noise} may be typed at once; less, too early, is not clear and ends the try · "
            f"behind the figure what you saw: leaks, tight, not clear · vented 0{faces}",
            placeholder=show(pumped.gauge.si, Quantity.GAUGE_PRESSURE, unit=unit),
        )


def next_of(hand: "HoldAtHand") -> tuple[Search | None, str]:
    """Return the search that is on, and what comes next in it, in the words of the shell."""
    hold = searched(hand)
    search = hold.search
    if not hold.let_down and (search is None or search.pumped is None):
        return search, "vent, and type what the gauge shows"
    if search is not None and search.pumped is None and not search.next_cut:
        return search, f'left: {left_text(search)}. "commission hold-defect" writes it down'
    asked = Searching(hand, lambda: None).question()
    return search, "" if asked is None else asked.prompt.ask
