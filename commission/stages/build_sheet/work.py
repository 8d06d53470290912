"""The build sheet: parts, the loop's volume, and the warnings that follow from them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.errors import NotAllowed, UnknownName
from commission.base.frozen import replace
from commission.procedure.stage_ids import HOLD
from commission.record.machine.loop import (
    gauge_warnings,
    mixed_metals,
    too_much_pressure,
)
from commission.record.machine.ratings import refuse_standing
from commission.record.stage_work import hold_runs
from commission.stages.build_sheet.entries import (
    PartAdded,
    PartCorrected,
    PartLeftOut,
    PartRated,
    PartRemoved,
    VolumeMeasured,
)
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.base.quantity import Measured, Phrase
    from commission.record.fold import BuildState
    from commission.record.logged import Logged
    from commission.record.machine.parts import Part
    from commission.record.record import Record

LARGEST_VOLUME_M3 = 0.1
"""Above this a part's volume is taken for a slip of the unit [m3]; our choice: no loop in a case holds 100 L."""


class Sheet:
    """What is typed about a build before anything is pumped up."""

    def __init__(self, book: Record) -> None:
        self._book = book

    def add_part(self, build_id: str, part: Part, typed: tuple[str, ...] = ()) -> Logged:
        """Fit a part to the loop.

        Raises
        ------
        NotAllowed
            If a hold runs, or a figure makes no sense.
        """
        self._refuse_while_running(build_id)
        refuse_part(part)
        return self._book.record(build_id, PartAdded(part=part, typed=typed))

    def correct_part(self, build_id: str, part: Part, typed: tuple[str, ...] = ()) -> Logged:
        """Describe a part again, under its own id, before any hold was started.

        Raises
        ------
        UnknownName
            If the loop has no such part.
        NotAllowed
            If a hold was started, it is another kind of part now, its name is taken, or a figure makes no sense.
        """
        self._part(build_id, part.part_id)
        refuse_correction(self._book.build(build_id), part)
        return self._book.record(build_id, PartCorrected(part=part, typed=typed))

    def remove_part(self, build_id: str, part_id: str, reason: str) -> Logged:
        """Take a part out of the loop.

        Raises
        ------
        UnknownName
            If the loop has no such part.
        NotAllowed
            If a hold runs, or no reason is given.
        """
        self._refuse_while_running(build_id)
        self._part(build_id, part_id)
        if not reason.strip():
            raise NotAllowed("taking a part out needs a reason; type why")
        return self._book.record(build_id, PartRemoved(part_id=part_id, reason=reason.strip()))

    def rate_part(self, build_id: str, part_id: str, rating: Measured) -> Logged:
        """Record the pressure rating of a part.

        Raises
        ------
        UnknownName
            If the loop has no such part.
        NotAllowed
            If a hold runs, or the rating is not above 0.
        """
        self._refuse_while_running(build_id)
        name = self._part(build_id, part_id).name
        if not rating.si > 0:
            raise NotAllowed(f'the pressure rating of "{name}" must be above 0; check the unit')
        return self._book.record(build_id, PartRated(part_id=part_id, rating=rating))

    def leave_out(self, build_id: str, part_id: str, reason: str) -> Logged:
        """Record that a part is left out of the pressure test: no pressure reaches it, and nothing is proved of it.

        Raises
        ------
        UnknownName
            If the loop has no such part.
        NotAllowed
            If a hold runs, no reason is given, no part would be left to test, or the part stands as much as the others.
        """
        self._refuse_while_running(build_id)
        part = self._part(build_id, part_id)
        if not reason.strip():
            raise NotAllowed("leaving a part out of the test needs a reason; type why")
        if all(part.part_id == part_id for part in self._book.build(build_id).tested_parts):
            raise NotAllowed("no part would be left to test; rate this one instead")
        refuse_standing(part, self._book.build(build_id).tested_parts)
        return self._book.record(build_id, PartLeftOut(part_id=part_id, reason=reason.strip()))

    def measure_volume(
        self, build_id: str, *, method: str, volume_m3: float, u_volume_m3: float, inputs: tuple[Measured, ...]
    ) -> Logged:
        """Record the loop's volume as measured on air.

        Raises
        ------
        NotAllowed
            If the result makes no sense.
        """
        refuse_volume(volume_m3, u_volume_m3)
        return self._book.record(
            build_id,
            VolumeMeasured(method=method, volume_m3=volume_m3, u_volume_m3=u_volume_m3, inputs=inputs),
        )

    def warnings(self, state: BuildState, target_gauge_pa: float | None = None) -> tuple[Phrase, ...]:
        """Return what should not be as it is: mixed metals, pressure above a rating, a gauge of the wrong range."""
        stage = self._book.procedure(state).stage("pressure_hold")
        target = stage.limit("target_gauge_pa") if target_gauge_pa is None else target_gauge_pa
        ratio = stage.limit("gauge_range_ratio")
        found = [mixed_metals(state.parts), too_much_pressure(state.tested_parts, target)]
        for instrument in self._book.shop().instruments:
            found += gauge_warnings(instrument, target, ratio)
        return tuple(phrase for phrase in found if phrase is not None)

    def _part(self, build_id: str, part_id: str) -> Part:
        found = next((part for part in self._book.build(build_id).parts if part.part_id == part_id), None)
        if found is None:
            raise UnknownName("this loop has no such part; look at the parts list")
        return found

    def _refuse_while_running(self, build_id: str) -> None:
        if hold_runs(self._book.build(build_id)):
            raise NotAllowed("a pressure hold is running; end it before the loop is changed")


def parts_like(before: BuildState, now: BuildState, new_id: Callable[[], str]) -> tuple[PartAdded, ...]:
    """Return what gives a build the parts of another; a volume measured on air was that other loop's, and stays there.

    Raises
    ------
    NotAllowed
        If it has parts already, or a hold runs.
    """
    if hold_runs(now):
        raise NotAllowed("a pressure hold is running; end it before the loop is changed")
    if now.parts:
        raise NotAllowed(f'"{now.name}" has parts on its list already; another build is copied into an empty one only')
    typed = (f"like {before.name}",)
    return tuple(PartAdded(part=replace(part, part_id=new_id()), typed=typed) for part in before.parts)


def refuse_correction(state: BuildState, part: Part) -> None:
    """Raise NotAllowed where a part is not described again: it was used, is another one, or its figures are none."""
    if any(run.started is not None for run in state.runs.get(HOLD, ())):
        raise NotAllowed("a hold was started with this list; take the part out with a reason, and type it again")
    before = next((one for one in state.parts if one.part_id == part.part_id), None)
    if before is None:
        raise NotAllowed("the loop has no such part")
    if before.kind is not part.kind:
        raise NotAllowed(f'"{before.name}" is a {before.kind}; take it out and type the other part')
    if any(one.name.casefold() == part.name.casefold() and one is not before for one in state.parts):
        raise NotAllowed(f'there is a part "{part.name}" already; give this one another name')
    refuse_part(part)


def refuse_part(part: Part) -> None:
    """Raise NotAllowed where a figure of a part makes no sense."""
    if not 0 < part.volume_m3 <= LARGEST_VOLUME_M3 or not 0 <= part.u_volume_m3 <= part.volume_m3:
        raise NotAllowed(
            worded(
                f'the volume of "{part.name}" must be above 0, at most 100 L, and larger than its uncertainty; '
                "check the unit"
            )
        )
    if part.max_gauge_pa is not None and part.max_gauge_pa <= 0:
        raise NotAllowed(f'the pressure rating of "{part.name}" must be above 0; check the unit')


def refuse_volume(volume_m3: float, u_volume_m3: float) -> None:
    """Raise NotAllowed where a measured volume makes no sense."""
    if not 0 < volume_m3 <= LARGEST_VOLUME_M3 or not 0 < u_volume_m3 < volume_m3:
        raise NotAllowed("these figures give no sensible volume; check strokes, rise and units")
