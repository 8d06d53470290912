"""The logbook: everything that is recorded goes through here, and everything that is known comes from here."""

import unicodedata
from collections.abc import Iterable
from contextlib import suppress

from commission.base.errors import NotAllowed, UnknownName
from commission.base.frozen import Frozen
from commission.base.text import clip
from commission.record.entries import (
    BuildBroughtBack,
    BuildOpened,
    BuildPutAway,
    InstrumentAdded,
    InstrumentMissing,
    InstrumentRetired,
    NoteAdded,
    OperatorNamed,
    StageOverridden,
    Withdrawn,
)
from commission.record.fold import BuildState, withdrawn_numbers
from commission.record.ladder import StageState, ladder
from commission.record.locks import refuse_override
from commission.record.logged import Logged
from commission.record.machine.dryness import told_wet
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.record import SHOP, Record

LONGEST_NAME = 80
"""Longest name of a build, a part or a person [characters]; our choice: fits a line of a terminal."""


class BuildRow(Frozen):
    """One line of the list of builds."""

    build_id: str
    """Its id."""
    name: str
    """What the builder calls it."""
    opened_ms: int
    """When it was opened [ms since 1970 UTC]."""
    offset_min: int
    """Local time minus UTC where that was [min]."""


class Logbook(Record):
    """The record of a workshop: many builds, and the instruments that they share.

    Parameters
    ----------
    log, clock, registry, procedure_toml, program, machine, new_id
        As for :class:`Record`.
    """

    # --- the workshop -------------------------------------------------------------------------------------------

    def name_operator(self, name: str) -> Logged:
        """Name whoever works from now on."""
        name = checked_name(name)
        logged = self.record(SHOP, OperatorNamed(name=name))
        self._operator = name
        return logged

    def add_instrument(self, instrument: Instrument) -> Logged:
        """Describe an instrument, or describe one again under its own id.

        Raises
        ------
        NotAllowed
            If the name is taken, or the figures contradict each other.
        """
        name = checked_name(instrument.name)
        others = (one for one in self.shop().instruments if one.instrument_id != instrument.instrument_id)
        if any(name_key(other.name) == name_key(name) for other in others):
            raise NotAllowed(f'there is an instrument "{name}" already; give this one another name')
        refuse_instrument(instrument)
        self._refuse_not_yet(instrument.calibrated_on)
        return self.record(SHOP, InstrumentAdded(instrument=instrument))

    def _refuse_not_yet(self, day: str) -> None:
        from datetime import UTC, datetime

        now = self.clock.now()
        today = datetime.fromtimestamp(now.wall_ms / 1000 + 60 * now.offset_min, UTC).date()
        with suppress(ValueError):  # free text of before
            if datetime.fromisoformat(day).date() > today:
                raise NotAllowed(f"{day} lies after today: correct the day of the calibration")

    def retire_instrument(self, instrument_id: str, reason: str) -> Logged:
        """Take an instrument out of use."""
        return self.record(SHOP, InstrumentRetired(instrument_id=instrument_id, reason=reason))

    def has_no(self, kind: InstrumentKind) -> Logged:
        """Record that the workshop has no instrument of a kind, so that nobody is asked for it again."""
        return self.record(SHOP, InstrumentMissing(kind=kind))

    # --- builds -------------------------------------------------------------------------------------------------

    def builds(self) -> tuple[BuildRow, ...]:
        """Return all builds, the one opened last first."""
        return _rows(reversed(self.entries_of_kind(BuildOpened.KIND)))

    def some_builds(self, count: int, skip: int = 0) -> tuple[BuildRow, ...]:
        """Return so many builds, the one opened last first, after skipping some; only these are read."""
        return _rows(self.log.last_of_kind(BuildOpened.KIND, count=count, skip=skip))

    def count_builds(self) -> int:
        """Return how many builds there are."""
        return self.log.count_of_kind(BuildOpened.KIND)

    def open_build(self, name: str) -> str:
        """Open a build under the procedure in force and return its id.

        Raises
        ------
        NotAllowed
            If the name is empty, too long or taken.
        """
        name = checked_name(name)
        if any(name_key(row.name) == name_key(name) for row in self.builds()):
            raise NotAllowed(f'there is a build "{name}" already; give this one another name')
        procedure = self.adopt_procedure()
        build_id = self.new_id()
        self.record(build_id, BuildOpened(name=name, procedure=procedure))
        return build_id

    def put_away(self, build_id: str) -> Logged:
        """Leave a build out of the list of builds; everything of it stays. Raises NotAllowed where it is already."""
        refuse_put_away(self.build(build_id), away=True)
        return self.record(build_id, BuildPutAway())

    def bring_back(self, build_id: str) -> Logged:
        """List a build again that was put away. Raises NotAllowed where it was not."""
        refuse_put_away(self.build(build_id), away=False)
        return self.record(build_id, BuildBroughtBack())

    def away(self) -> frozenset[str]:
        """Return the builds that were put away and not brought back; no build is folded for it."""
        put = self.entries_of_kind(BuildPutAway.KIND)
        if not put:
            return frozenset()
        gone = withdrawn_numbers(self.entries_of_kind(Withdrawn.KIND))
        last = {
            entry.build: entry.payload.KIND
            for entry in sorted((*put, *self.entries_of_kind(BuildBroughtBack.KIND)), key=lambda one: one.seq)
            if entry.seq not in gone
        }
        return frozenset(build for build, kind in last.items() if kind == BuildPutAway.KIND)

    def find_build(self, name: str) -> str:
        """Return the id of the build of that name.

        Raises
        ------
        UnknownName
            If there is none; the message lists what there is.
        """
        rows = self.builds()
        for row in rows:
            if name_key(row.name) == name_key(name):
                return row.build_id
        known = ", ".join(f'"{row.name}"' for row in rows[:5]) or "none yet"
        raise UnknownName(f'there is no build "{name}"; there are: {known}')

    def make_like(self, build_id: str, other_id: str) -> tuple[Logged, ...]:
        """Record what makes a build like another, each as an entry of its own, and return these.

        Raises
        ------
        NotAllowed
            If it is begun already, or there is nothing to copy.
        """
        other, shop, stored = self.build(other_id), self.shop(), []
        for face in self.registry.faces:
            state = self.build(build_id)
            for payload in face.copied(other, state, self.procedure(state), shop, self.new_id):
                stored.append(self.record(build_id, payload))
        if not stored:
            raise _nothing_in(other)
        return tuple(stored)

    def refuse_nothing_like(self, other_id: str) -> None:
        """Raise NotAllowed where a build that was just opened would get nothing of another one."""
        other, shop, fresh = self.build(other_id), self.shop(), BuildState(build_id="")
        copies = (face.copied(other, fresh, self.new_procedure, shop, str) for face in self.registry.faces)
        if not any(map(tuple, copies)):
            raise _nothing_in(other)

    def ladder(self, state: BuildState) -> tuple[StageState, ...]:
        """Return the stages of a build, each with the word for its state."""
        return ladder(self.procedure(state), self.registry, state)

    def add_note(self, build_id: str, text: str, *, stage: str = "") -> Logged:
        """Write down something worth remembering, in a stage or, where none is given, of the build.

        Raises
        ------
        NotAllowed
            If it says that something is wet while coolant is in the loop and a stage goes on.
        """
        _refuse_wet_note(self.build(build_id), text)
        return self.record(build_id, NoteAdded(text=text, stage=stage))

    def override(self, build_id: str, stage: str, reason: str) -> Logged:
        """Override the lock of a stage, with a reason that every report will show.

        Raises
        ------
        NotAllowed
            If no reason is given, or no reason opens the lock.
        """
        if not reason.strip():
            raise NotAllowed("an override needs a reason; type why the lock does not apply")
        refuse_override(self.registry, self.build(build_id), stage)
        return self.record(build_id, StageOverridden(stage=stage, reason=reason.strip()))


def _rows(openings: Iterable[Logged]) -> tuple[BuildRow, ...]:
    return tuple(
        BuildRow(
            build_id=entry.build,
            name=entry.payload.name,
            opened_ms=entry.mark.wall_ms,
            offset_min=entry.mark.offset_min,
        )
        for entry in openings
        if isinstance(entry.payload, BuildOpened)
    )


def _nothing_in(other: BuildState) -> NotAllowed:
    return NotAllowed(f'"{other.name}" has nothing that can be copied; write parts and plan down here')


def _refuse_wet_note(state: BuildState, text: str) -> None:
    """Raise NotAllowed where a note hides a leak: coolant is in the loop, a stage goes on, and it says wet.

    A note is told nowhere in a verdict; what is wet is a leak or a spill, which is. That a liquid is named alone says
    nothing: coolant is one.
    """
    word = told_wet(text)
    goes_on = any(runs[-1].running for runs in state.runs.values() if runs)
    if word and state.coolant_m3 > 0 and goes_on:
        raise NotAllowed(
            f"{clip(word)} says that something is wet: type leak or spill, or run commission defect. What is dry is "
            "noted in other words"
        )


def refuse_instrument(instrument: Instrument) -> None:
    """Raise NotAllowed where the figures of an instrument contradict each other."""
    if not (instrument.resolution > 0 and instrument.accuracy >= 0 and instrument.low < instrument.high):
        raise NotAllowed("an instrument needs a step above 0 and a range from low to high; correct the figures")
    if instrument.resolution > (instrument.high - instrument.low) / 4:
        raise NotAllowed("one step of the display is more than a quarter of the range; check the units")


def name_key(name: str) -> str:
    """Return what makes two names the same to a person."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def checked_name(name: str) -> str:
    """Return a name with its spaces in order.

    Raises
    ------
    NotAllowed
        If it is empty or too long.
    """
    name = " ".join(unicodedata.normalize("NFC", name).split())
    if not name:
        raise NotAllowed("a name is wanted; type one")
    if len(name) > LONGEST_NAME:
        raise NotAllowed(f"the name has {len(name)} characters; {LONGEST_NAME} are the most")
    return name


def refuse_put_away(state: BuildState, *, away: bool) -> None:
    """Raise NotAllowed where a build is put away that already is, or brought back that is not."""
    if state.put_away == away:
        raise NotAllowed(f'"{state.name}" {"is put away already" if away else "was not put away"}')
