"""The leak search after a hold that leaked: the loop is parted off, pumped up again, and each try is recorded."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.clock import elapsed_between
from commission.base.errors import NotAllowed
from commission.physics.gas import STANDARD_ATMOSPHERE_PA
from commission.record.done_at import done_mark
from commission.record.machine.ratings import refuse_above_rating
from commission.stages.pressure_hold.entries import SearchBegun, SearchPumped, SearchTried, TryWord
from commission.stages.pressure_hold.judge.search_try import TryBasis, noise_pa, wait_s, word_of
from commission.stages.pressure_hold.state.found import search_is_open
from commission.stages.pressure_hold.work.ends import ended_hold
from commission.stages.pressure_hold.work.let_down import zero_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.base.quantity import Measured
    from commission.record.fold import BuildState
    from commission.record.logged import Logged
    from commission.record.record import Record
    from commission.stages.pressure_hold.state.attempt import HoldAttempt
    from commission.stages.pressure_hold.state.search import Search

RIG = "test rig"
"""The suspect that stands before all parts of the loop: pump, hose, gauge and coupling of the test itself."""

MISTYPED = 0.15
"""Rise in a closed try that no room makes, of the absolute pressure [1]; our choice: at 293 K it would take 44 K."""


class Searches:
    """The use cases of the leak search.

    Parameters
    ----------
    book
        The record.
    """

    def __init__(self, book: Record) -> None:
        self.book = book

    def begin(self, build_id: str, names: Sequence[str]) -> Logged:
        """Begin to search; a search that was begun before ends with that.

        Parameters
        ----------
        build_id
            The build.
        names
            Parts and joints in the order in which the air reaches them, from the gauge on.

        Raises
        ------
        NotAllowed
            If no leak is to be found, the loop is under pressure, or a name is missing or comes twice.
        """
        hold = self._searched(build_id)
        _refuse_pressure(hold)
        suspects = tuple(" ".join(name.split()) for name in names)
        if not suspects or not all(suspects):
            raise NotAllowed("name the parts and joints from the gauge on, with commas between them")
        folded = [name.casefold() for name in (RIG, *suspects)]
        twice = next((name for name in suspects if folded.count(name.casefold()) > 1), "")
        if twice:
            raise NotAllowed(f'"{twice}" comes twice; give each part and joint a name of its own (the rig is first)')
        return self.book.record(build_id, SearchBegun(attempt=hold.attempt, suspects=(RIG, *suspects)))

    def pump(self, build_id: str, behind: str, gauge: Measured) -> Logged:
        """Record that the loop was parted off behind a suspect and what stays on the gauge was pumped up.

        Raises
        ------
        NotAllowed
            If the search was not begun, the last try was not vented, nothing was pumped up, or a rating is exceeded.
        """
        hold = self._searched(build_id)
        search, state = _search(hold), self.book.build(build_id)
        _refuse_pressure(hold)
        if behind not in search.suspects:
            raise NotAllowed(f'"{behind}" is none of the suspects: {", ".join(search.suspects)}')
        if gauge.si <= zero_of(ended_hold(state)[1].gauge):
            raise NotAllowed(f"the gauge shows {gauge.typed}: pump up first, then type what it shows")
        refuse_above_rating(state.tested_parts, gauge.si, "the gauge at")
        return self.book.record(build_id, SearchPumped(attempt=hold.attempt, behind=behind, gauge=gauge))

    def tried(self, build_id: str, gauge: Measured, word: TryWord | None = None) -> Logged:
        """Record how the pressure went since the loop was pumped up.

        Parameters
        ----------
        build_id
            The build.
        word
            What the builder saw or heard; None: what the gauge says.

        Raises
        ------
        NotAllowed
            If nothing was pumped up, or it is called tight although the gauge does not say so.
        """
        hold = self._searched(build_id)
        search = _search(hold)
        pumped = _pumped(search)
        start, after_s = pumped.gauge, self.since_s(search)
        if gauge.si - start.si > MISTYPED * (start.si + STANDARD_ATMOSPHERE_PA):
            raise NotAllowed(
                f"the gauge rose from {start.typed} to {gauge.typed}: one of them is mistyped. "
                "Type vented and the gauge, then pump up again"
            )
        says = word_of(basis_of(hold), start.si, gauge.si, after_s)
        if word is TryWord.TIGHT and says is not TryWord.TIGHT:
            wait = max(0.0, wait_s(basis_of(hold), start.si) - after_s)
            raise NotAllowed(
                f"{start.typed} to {gauge.typed} is no proof of tight: "
                + (f"wait {wait / 60:.0f} min more, or type not clear" if wait >= 30 else "type leaks or not clear")
            )
        return self.book.record(
            build_id,
            SearchTried(
                attempt=hold.attempt,
                behind=pumped.behind,
                start=start,
                end=gauge,
                after_s=after_s,
                word=word or says,
            ),
        )

    def says(self, state: BuildState, gauge: Measured) -> TryWord:
        """Return what the gauge would say now in the try that goes on; raises NotAllowed where there is none."""
        hold = ended_hold(state)[0]
        search = _search(hold)
        return word_of(basis_of(hold), _pumped(search).gauge.si, gauge.si, self.since_s(search))

    def since_s(self, search: Search) -> float:
        """Return how long ago the try that goes on was pumped up [s]; 0 where none is."""
        return (
            0.0
            if search.pumped is None
            else elapsed_between(done_mark(search.pumped), self.book.past.moment()).elapsed_s
        )

    def _searched(self, build_id: str) -> HoldAttempt:
        state = self.book.build(build_id)
        if not search_is_open(state):
            raise NotAllowed("no leak is to be found: none was shown, or the defect is written down already")
        return ended_hold(state)[0]


def basis_of(hold: HoldAttempt) -> TryBasis:
    """Return by what the tries after a hold are judged; raises NotAllowed where it has no plan or verdict."""
    plan, closed = hold.plan, hold.verdict_entry
    if plan is None or closed is None:
        raise NotAllowed("no hold was ended yet")
    rate = closed.verdict.leak_rate
    return TryBasis(
        leak_pa_m3_s=max(plan.limit_pa_m3_s, rate.at_least if rate is not None else 0.0),
        volume_m3=plan.volume_m3 + 2 * plan.u_volume_m3,
        step_pa=plan.gauge.resolution,
        room_swing_k=plan.room_swing_k,
    )


def clear_after_s(hold: HoldAttempt, gauge_pa: float) -> float:
    """Return after which time a try is clear either way [s]."""
    return wait_s(basis_of(hold), gauge_pa)


def noise_of(hold: HoldAttempt, gauge_pa: float) -> float:
    """Return the change of pressure that needs no leak [Pa]."""
    return noise_pa(basis_of(hold), gauge_pa)


def _search(hold: HoldAttempt) -> Search:
    if hold.search is None:
        raise NotAllowed("no leak search was begun; name parts and joints from the gauge on first")
    return hold.search


def _pumped(search: Search) -> SearchPumped:
    if search.pumped is None or not isinstance(search.pumped.payload, SearchPumped):
        raise NotAllowed("nothing is pumped up; part the loop off and pump it up first")
    return search.pumped.payload


def _refuse_pressure(hold: HoldAttempt) -> None:
    if not hold.let_down:
        raise NotAllowed("by the log the loop is under pressure: vent it first and type what the gauge shows")
