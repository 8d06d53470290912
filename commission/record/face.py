"""What the record asks of a stage, so that it knows none by name, and the list of those that are there."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from commission.base.frozen import Frozen, field
from commission.record.entries import SHARED_KINDS
from commission.record.undoing import Undoing

if TYPE_CHECKING:
    from commission.procedure.model import Procedure
    from commission.record.build_state import BuildState, Finding, ShopState
    from commission.record.entries import FindingRaised
    from commission.record.logged import Logged
    from commission.record.machine.change import Change
    from commission.record.machine.instrument import Instrument
    from commission.record.machine.over_years import Compared
    from commission.record.machine.proof import Proof
    from commission.record.mishap import WentWrong
    from commission.record.part_changed import PartChanged
    from commission.record.payload import Payload, SeriesBegun, SeriesClosed
    from commission.record.ports import Working
    from commission.record.table import Source, Table

RowValues = tuple[float | None, int | None, float | None, float | None, float | None]
"""What a row of a series says: elapsed [s], instant [ms since 1970 UTC], pressure [Pa], air [K], barometer [Pa]; None
where it says nothing."""

Fold = Callable[["BuildState", "Logged"], "BuildState"]
"""The state of a build after an entry."""


def _same_shop(state: ShopState, _entry: Logged) -> ShopState:
    return state


def _same_build(state: BuildState, *_what: object) -> BuildState:
    return state


def _no_names(_entries: Iterable[Logged]) -> Mapping[str, str]:
    return {}


def _nothing(*_what: object) -> tuple[()]:
    return ()


def _let(*_what: object) -> None:
    """Refuse nothing."""


class SeriesKinds(Frozen):
    """The kinds of a stage that takes streamed readings."""

    begun: type[SeriesBegun]
    """Begins a series."""
    closed: type[SeriesClosed]
    """Seals all of it."""
    reread: Callable[[str, str], RowValues | None]
    """Reads the text of a stored row again, under a header row; None where it cannot be read."""
    gauge: Callable[[Payload], Instrument]
    """The instrument that a series which this payload began is read with."""


class RecordFace(Frozen):
    """One stage as the record sees it; a part that is left out does nothing."""

    id: str
    """Its id in the procedure."""
    kinds: tuple[type[Payload], ...]
    """Payloads of a build that are its own."""
    fold: Fold
    """The state of a build after an entry of one of these kinds."""
    text: Callable[[Payload, Mapping[str, str]], str]
    """What a payload says beside its kind, in one line: payload, names by ids."""
    word: str = ""
    """What an attempt at it is called, such as ``hold``; empty where that is its id."""
    shop_kinds: tuple[type[Payload], ...] = ()
    """Payloads of the workshop that are its own."""
    fold_shop: Callable[[ShopState, Logged], ShopState] = _same_shop
    """The state of the workshop after an entry of one of those."""
    states: tuple[type, ...] = ()
    """Classes of what it keeps of a build and in the workshop, frozen, each made without arguments before any entry."""
    names: Callable[[Iterable[Logged]], Mapping[str, str]] = _no_names
    """Names of what entries hold only by its id, withdrawn ones too."""
    progress: Fold | None = None
    """The state after a caution or step of this stage; None: the record keeps its attempts."""
    ends: tuple[type[Payload], ...] = ()
    """Kinds that end an attempt; each carries a verdict."""
    again: Mapping[type[Payload], Callable[[Working, Logged], object]] = field(default_factory=dict)
    """Kinds with a verdict, and for each what does once more, by the work, what made such an entry of a build."""
    kept: tuple[type[Payload], ...] = ()
    """Kinds that everything later rests on: never withdrawn, nor imported with a withdrawal."""
    in_place: Mapping[type[Payload], str] = field(default_factory=dict)
    """What to do in place of withdrawing an entry of such a kind, where that is more than a note."""
    refuse_withdrawal: Callable[[BuildState, Logged], None] = _let
    """Raises NotAllowed where an entry of these kinds is not withdrawn now, though a record with that is imported."""
    taken_back: Callable[[BuildState, Logged, Logged], BuildState] = _same_build
    """The state after an entry of these kinds that was withdrawn: the entry, and its withdrawal."""
    stale_on: frozenset[Change] = frozenset()
    """Changes of the machine that take away the worth of its judged attempts."""
    described: tuple[type[Payload], ...] = ()
    """Kinds that describe, plan, or say their times themselves: written down at any time, they stand in no order with
    what is done."""
    shaken_on: frozenset[Change] = frozenset()
    """Changes of the machine after which an attempt that goes on can pass no more: it is ended and begun again."""
    restart_on: frozenset[Change] = frozenset()
    """Changes of the machine after which an attempt that goes on stands at its first step, its cautions unread."""
    placed: tuple[type[Payload], ...] = ()
    """Kinds that may be told with a time of their own, in any order."""
    undoes: tuple[Undoing, ...] = ()
    """What entries take from verdicts before them, as far as this stage does that: its own kinds, and what others mean
    to it."""
    at_fault: Callable[[BuildState, FindingRaised, int], BuildState] = _same_build
    """The state after a fault was found at this stage, by the entry of that number."""
    cured: Callable[[BuildState, Finding, int], BuildState] = _same_build
    """The state after it was said what was done about a fault that was found at this stage, by the entry of that
    number."""
    went_wrong: Callable[[BuildState, Logged, WentWrong], BuildState] = _same_build
    """The state after a mishap, which any stage may have seen; the changes that it makes were told already."""
    tables: Callable[[Source], Iterable[Table]] = _nothing
    """Tables of open data that join kinds of its own; one for each kind there is in any case."""
    part_changed: Callable[[BuildState, Logged, PartChanged], BuildState] = _same_build
    """The state after a part of a finished machine was changed; the changes that it makes were told already."""
    compared: Callable[[BuildState], Iterable[Compared]] = _nothing
    """What its judged attempts measured of the machine and is compared over the years, in order."""
    admit: Callable[[BuildState, Procedure, Logged], None] = _let
    """Raises NotAllowed where a build in this state would not have taken an entry of these kinds."""
    admit_in_shop: Callable[[ShopState, Payload], None] = _let
    """Raises NotAllowed where the workshop would not have taken a payload of these kinds."""
    copied: Callable[[BuildState, BuildState, Procedure, ShopState, Callable[[], str]], Iterable[Payload]] = _nothing
    """What makes another build like one: that one, the other as it is by now, its procedure, the workshop, what makes
    ids. Raises NotAllowed where the other is begun already."""
    series: SeriesKinds | None = None
    """Its kinds about streamed readings; None where it takes none."""
    proves: Proof | None = None
    """What its pass proves of the loop that other stages wait for; None where nothing."""
    needs_machine: bool = False
    """Whether its work needs the whole machine under power: no reason opens it before that has passed its rungs."""
    no_override: str = ""
    """Why no reason opens it at all, as a sentence; empty where it has no locks of its own."""

    @property
    def called(self) -> str:
        """What an attempt at it is called."""
        return self.word or self.id.replace("_", " ")


class Registry:
    """The stages that a record is read with, in the order of the job; made once and handed on.

    Parameters
    ----------
    faces
        One of each stage.

    Raises
    ------
    ValueError
        If two stages have one id or prove the same, or a word stands for two kinds.
    """

    def __init__(self, faces: tuple[RecordFace, ...]) -> None:
        self.faces = faces
        """The stages."""
        of_kind = {kind: face for face in self.faces for kind in (*face.kinds, *face.shop_kinds)}
        every = [*SHARED_KINDS, *(kind for face in self.faces for kind in (*face.kinds, *face.shop_kinds))]
        kinds = {kind.KIND: kind for kind in every}
        of_stage = {face.id: face for face in self.faces}
        if len(kinds) != len(every) or len(of_stage) != len(self.faces):
            raise ValueError("two stages have one id, or one word stands for two kinds of entry")
        if len(self.proving) != sum(face.proves is not None for face in self.faces):
            raise ValueError("two stages prove the same of the loop")
        self.kinds: Mapping[str, type[Payload]] = kinds
        """The word in the log, and the class it stands for, of every kind."""
        self._of_kind: Mapping[type[Payload], RecordFace] = of_kind
        self._of_stage = of_stage

    def of(self, payload: Payload) -> RecordFace | None:
        """Return the stage whose kind a payload is; None where it is the record's own."""
        return self._of_kind.get(type(payload))

    def stage(self, stage_id: str) -> RecordFace | None:
        """Return the stage of that id, or None."""
        return self._of_stage.get(stage_id)

    @property
    def proving(self) -> Mapping[Proof, str]:
        """Which stage proves what of the loop, by its id."""
        return {face.proves: face.id for face in self.faces if face.proves is not None}

    def called(self, stage_id: str) -> str:
        """Return what an attempt at a stage is called, also at one that is not there."""
        face = self.stage(stage_id)
        return stage_id.replace("_", " ") if face is None else face.called

    @property
    def kept(self) -> tuple[type[Payload], ...]:
        """Kinds of stages that are never withdrawn."""
        return tuple(kind for face in self.faces for kind in face.kept)

    @property
    def judged(self) -> tuple[type[Payload], ...]:
        """Kinds of stages with a verdict that is judged again where a record comes in."""
        return tuple(kind for face in self.faces for kind in face.again)

    @property
    def series(self) -> tuple[SeriesKinds, ...]:
        """The kinds about streamed readings."""
        return tuple(face.series for face in self.faces if face.series is not None)

    def reread(self, header: str, typed: str) -> RowValues | None:
        """Read the text of a stored row again, under a header row; None where no stage can."""
        for kinds in self.series:
            values = kinds.reread(header, typed)
            if values is not None:
                return values
        return None

    def names(self, entries: Sequence[Logged]) -> dict[str, str]:
        """Return the names of what entries hold only by its id."""
        return {key: name for face in self.faces for key, name in face.names(entries).items()}
