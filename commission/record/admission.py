"""What a record from outside must fulfil: what the screens and the shell would refuse is not taken in.

Looked at are ranges, lengths, the order of things, and that a pass rests on anything at all. The rules here are those
that every released version kept, so a bundle that an honest version wrote is always taken. Verdicts are judged again
once all is read (`again.py`).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence

from commission.base.errors import CommissionError, FileError
from commission.base.frozen import Frozen
from commission.base.quantity import Measured
from commission.base.text import clip
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import Procedure
from commission.procedure.own import differences, own_text
from commission.record.admission_rules import refuse_in_build, refuse_in_shop, refuse_runs
from commission.record.entries import BuildOpened, EntriesTakenOver, ProcedureAdopted, SessionOpened, Withdrawn
from commission.record.face import Registry
from commission.record.fold import BuildState, fold_further, fold_shop, fresh_build
from commission.record.logbook import LONGEST_NAME, checked_name, name_key
from commission.record.logged import Logged
from commission.record.machine.instrument import Instrument
from commission.record.past import is_deed, refuse_out_of_order
from commission.record.record import KEPT, PROCEDURES, SESSIONS, SHOP
from commission.record.series_entries import SeriesHeaded, SeriesSealed, seals_of
from commission.record.table import SampleRow
from commission.record.unknown import Unknown
from commission.units.plausible import SPAN

LONGEST_TEXT = 65_536
"""Longest text of an entry [characters], procedures apart; our choice: the longest line that the program reads from a
file."""

LAST_MS = 253_402_300_799_999
"""End of the year 9999 [ms since 1970 UTC]. Source: RFC 3339, 5.6: a year has four digits."""

OFFSETS_MIN = (-720, 840)
"""Least and most local time less UTC [min]: -12:00 to +14:00. Source: IANA time zone database, zones in use."""

FORWARD_MS = 86_400_000
"""How far what was seen may lie after its entry [ms]; our choice: a day, since a released version took a wrong one."""


class Admission:
    """Takes the entries of a record one by one, then its samples, and refuses what does not fit.

    Every refusal is a FileError of one line that names the entry; nothing is kept of what was refused.

    Parameters
    ----------
    registry
        The stages.
    own_procedure
        Whether builds may come in that are judged by a procedure that ships with no program.
    """

    def __init__(self, registry: Registry, *, own_procedure: bool = False) -> None:
        self._registry = registry
        self._own_procedure = own_procedure
        self._builds: dict[str, list[Logged]] = {}
        self._states: dict[str, BuildState] = {}
        self._names: set[str] = set()
        self._procedures: dict[str, Procedure] = {}
        self._shop: list[Logged] = []
        self._gauges: dict[str, tuple[str, Instrument]] = {}
        self._last_elapsed: dict[str, float] = {}
        self._home: dict[int, tuple[str, Logged]] = {}
        self._withdrawn: set[int] = set()

    def entry(self, entry: Logged) -> None:
        """Take the next entry; raises FileError where the screens would not have stored it."""
        try:
            self._envelope(entry)
            self._content(entry)
            self._place(entry)
        except FileError:
            raise
        except CommissionError as error:
            raise _refusal(entry, str(error)) from error
        self._home[entry.seq] = (entry.build, entry)

    def samples(self, series: str, first: int, rows: Sequence[SampleRow]) -> None:
        """Take samples of a series; raises FileError where a running hold would not have taken them."""
        if series not in self._gauges:
            raise FileError(f'readings of the series "{series[:40]}", but no entry begins anything with it')
        word, gauge = self._gauges[series]
        last, high = self._last_elapsed.get(series, -1.0), gauge.high
        for number, (elapsed_s, wall_ms, pressure_pa, _, _, typed) in enumerate(rows, first):
            if elapsed_s < 0 or elapsed_s <= last:
                raise FileError(f"reading {number} of a {word} is not later than the one before it")
            if pressure_pa is not None and pressure_pa > high:
                raise FileError(f'reading {number} of a {word} is above the range of "{gauge.name}"')
            if not 0 <= wall_ms <= LAST_MS or len(typed) > LONGEST_TEXT:
                raise FileError(f"reading {number} of a {word} has a time or a text that cannot be")
            last = elapsed_s
        self._last_elapsed[series] = last

    # What every entry must keep

    @staticmethod
    def _envelope(entry: Logged) -> None:
        mark = entry.mark
        if not OFFSETS_MIN[0] <= mark.offset_min <= OFFSETS_MIN[1]:
            raise _refusal(entry, f"no zone is {mark.offset_min} min from UTC")
        if not 0 <= mark.wall_ms <= LAST_MS or mark.mono_ms < 0 or (mark.boot_ms or 0) < 0:
            raise _refusal(entry, "its clocks show a time that cannot be")
        seen = entry.observed_ms
        if seen is not None and not 0 <= seen <= min(LAST_MS, mark.wall_ms + FORWARD_MS):
            raise _refusal(entry, "it was seen long after it was entered")
        if len(entry.operator) > LONGEST_NAME:
            raise _refusal(
                entry, f"the name of who did it has {len(entry.operator)} characters; {LONGEST_NAME} are the most"
            )

    @staticmethod
    def _content(entry: Logged) -> None:
        if isinstance(entry.payload, Unknown):
            # what cannot be checked is not taken in; where it is stored already it is shown
            word = clip(entry.payload.word)
            raise _refusal(
                entry,
                f"{word} is a kind that this program does not know; import it with a newer one",
            )
        longest = None if isinstance(entry.payload, ProcedureAdopted) else LONGEST_TEXT
        for value in _values(entry.payload):
            if isinstance(value, str) and longest is not None and len(value) > longest:
                raise _refusal(entry, f"one of its texts has {len(value)} characters; {longest} are the most")
            if isinstance(value, Measured):
                span = SPAN[value.quantity]
                # the span itself is typed and converted: the last digit is the conversion's
                slack = 1e-9 * max(abs(span.low), abs(span.high))
                # nothing at all can be typed where an amount is asked for, such as "0 mL" added after a tilt
                if not min(0.0, span.low) - slack <= value.si <= span.high + slack:
                    raise _refusal(entry, f'"{value.typed[:40]}" stands for a {value.quantity} that cannot be')

    # Where it stands, and what stood before it

    def _place(self, entry: Logged) -> None:
        payload = entry.payload
        if isinstance(payload, Withdrawn):
            self._withdrawal(entry, payload)
        if isinstance(payload, SessionOpened | EntriesTakenOver):
            self._require(entry, SESSIONS)
            if isinstance(payload, EntriesTakenOver):
                refuse_runs(entry.seq, payload)
        elif isinstance(payload, ProcedureAdopted):
            self._require(entry, PROCEDURES)
            self._procedure(entry, payload)
        elif isinstance(payload, SeriesHeaded | SeriesSealed):
            self._require(entry, seals_of(payload.series))
            if payload.series not in self._gauges:
                raise _refusal(entry, "it speaks of readings, but nothing was started with them")
        elif entry.build == SHOP:
            refuse_in_shop(self._registry, fold_shop(self._registry, self._shop), payload)
            self._shop.append(entry)
        else:
            self._in_build(entry)

    @staticmethod
    def _require(entry: Logged, stream: str) -> None:
        if entry.build != stream:
            raise _refusal(entry, f'"{entry.payload.KIND}" stands where it never belongs')

    def _procedure(self, entry: Logged, adopted: ProcedureAdopted) -> None:
        if hashlib.sha256(adopted.toml.encode()).hexdigest() != adopted.digest:
            raise _refusal(entry, "its procedure does not match its digest")
        self._procedures[adopted.digest] = procedure = load_procedure(adopted.toml)
        own = () if self._own_procedure else differences(procedure, load_procedure(default_toml()))
        if own:
            raise _refusal(entry, f"{own_text(own)} (--own-procedure takes it)")

    def _in_build(self, entry: Logged) -> None:
        payload, build = entry.payload, entry.build
        if isinstance(payload, BuildOpened):
            self._opening(entry, payload)
        elif build not in self._builds:
            raise _refusal(entry, f'"{payload.KIND}" for a build that was never opened')
        before = self._states.get(build) or fresh_build(self._registry, build)
        if before.procedure:
            refuse_in_build(self._registry, before, self._procedures[before.procedure], entry)
        face = self._registry.of(payload)
        series = None if face is None else face.series
        if face is not None and series is not None and isinstance(payload, series.begun):
            if not payload.series or payload.series in self._gauges:
                raise _refusal(entry, f"another {face.called} has its series of readings already")
            self._gauges[payload.series] = (face.called, series.gauge(payload))
        if face is not None and not isinstance(payload, face.placed) and is_deed(self._registry, payload):
            self._refuse_order(entry, before)
        entries = self._builds.setdefault(build, [])
        entries.append(entry)
        state = fold_further(self._registry, before, entries, (entry,))
        if len(state.problems) > len(before.problems):
            raise _refusal(entry, state.problems[-1].message)
        self._states[build] = state

    def _refuse_order(self, entry: Logged, before: BuildState) -> None:
        """Refuse what is said to be done before what stands before it: the screens would not have taken that time."""
        if entry.observed_ms is not None:
            entries = self._builds.get(before.build_id, [])
            refuse_out_of_order(self._registry, entries, frozenset(self._withdrawn), entry.observed_ms, begins=True)

    def _opening(self, entry: Logged, opened: BuildOpened) -> None:
        if entry.build in self._builds:
            raise _refusal(entry, "this build was opened before")
        if checked_name(opened.name) != opened.name or name_key(opened.name) in self._names:
            raise _refusal(entry, f'the name "{opened.name[:40]}" is taken, or is none')
        if opened.procedure not in self._procedures:
            raise _refusal(entry, "the procedure that it names does not stand before it")
        self._names.add(name_key(opened.name))

    def _withdrawal(self, entry: Logged, withdrawn: Withdrawn) -> None:
        build, target = self._home.get(withdrawn.target, ("", None))
        if target is None or build != entry.build:
            raise _refusal(entry, f"it withdraws entry {withdrawn.target}, which is none of the same build before it")
        face = self._registry.of(target.payload)
        kept = KEPT if face is None else face.kept
        if isinstance(target.payload, kept) or withdrawn.target in self._withdrawn:
            raise _refusal(entry, f"entry {withdrawn.target} cannot be withdrawn, or was already")
        if not withdrawn.reason.strip():
            raise _refusal(entry, "a withdrawal needs a reason")
        self._withdrawn.add(withdrawn.target)


def _refusal(entry: Logged, message: str) -> FileError:
    return FileError(f"entry {entry.seq}: {message}")


def _values(value: object) -> Iterator[object]:
    """Yield all that a payload holds, at any depth."""
    if isinstance(value, Frozen):
        yield value
        for name in value.__struct_fields__:
            yield from _values(getattr(value, name))
    elif isinstance(value, tuple):
        for item in value:
            yield from _values(item)
    else:
        yield value
