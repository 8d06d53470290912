"""One build as its entries tell it, and each attempt at a stage: its cautions, its steps, its end."""

from collections.abc import Mapping
from typing import Self, TypeVar, cast

from commission.base.frozen import Frozen, field, replace
from commission.base.pump_supply import PumpSupply
from commission.base.quantity import Phrase
from commission.base.verdict import Outcome
from commission.record.entries import FindingRaised
from commission.record.logged import Logged, Problem
from commission.record.machine.change import Change
from commission.record.machine.held import Held
from commission.record.machine.instrument import Instrument, InstrumentKind
from commission.record.machine.loop import LoopVolume, volume_from_parts, with_parts
from commission.record.machine.parts import Part, PartKind
from commission.record.machine.plugged import Plugged
from commission.record.machine.proof import Proof
from commission.record.mishap import WentWrong
from commission.record.payload import Ending
from commission.record.taken_back import TakenBack


class StageRun(Frozen):
    """Everything the log says of one attempt at a stage."""

    attempt: int = 1
    """Which attempt, from 1."""
    acknowledged: frozenset[str] = frozenset()
    """Cautions that were read and answered."""
    printed: frozenset[str] = frozenset()
    """Cautions that were only printed, on a command line."""
    steps: tuple[str, ...] = ()
    """Steps reported done, in order."""
    started: Logged | None = None
    """The first entry that shows work at it; None before."""
    closed: Logged | None = None
    """The entry that ended and judged it; None while it goes on."""
    volume: LoopVolume | None = None
    """Volume of the loop that it was judged by; None where its verdict rests on none, or nobody knew."""
    stale_by: int | None = None
    """The later entry that took away its worth; None where there is none."""
    stale_kind: str = ""
    """What kind of entry that was, as it is shown; empty where there is none, or where another stream has it."""
    shaken_by: int | None = None
    """The first entry that changed, while it went on, what it is about; None where there is none."""
    spared: tuple[TakenBack, ...] = ()
    """What took its worth, or spoke against it while it went on, and was withdrawn; the next attempt tells it too."""
    written_up: bool = False
    """Whether anything of it was written down later than it was done."""

    @property
    def running(self) -> bool:
        """Whether it was begun and not ended."""
        return self.started is not None and self.closed is None

    @property
    def outcome(self) -> Outcome | None:
        """What it proved; None while it goes on."""
        # only a kind among the ends of a stage closes an attempt, and each of them carries a verdict
        return None if self.closed is None else cast(Ending, self.closed.payload).verdict.outcome


def fresh_run(attempt: int, last: StageRun | None) -> StageRun:
    """Return an attempt at which nothing was done; of the last one it has what was withdrawn after its end."""
    if last is None or last.closed is None:
        return StageRun(attempt=attempt)
    ended = last.closed.seq
    return StageRun(attempt=attempt, spared=tuple(one for one in last.spared if one.seq > ended))


S = TypeVar("S")


class Keeping(Frozen):
    """A state in which each stage keeps one of its own."""

    states: Mapping[type, object] = field(default_factory=dict)
    """What the stages keep in it, each under the class of its own state."""

    def of(self, cls: type[S]) -> S:
        """Return what a stage keeps in it: its state by the class, or a fresh one."""
        found = self.states.get(cls)
        return found if isinstance(found, cls) else cls()

    def with_(self, value: object) -> Self:
        """Return it with another state of a stage, in the place of the one of the same class."""
        return replace(self, states={**self.states, type(value): value})


class ShopState(Keeping):
    """What the workshop shares among its builds."""

    operator: str = ""
    """Who works; empty until somebody was named."""
    instruments: tuple[Instrument, ...] = ()
    """Instruments in use."""
    without: frozenset[InstrumentKind] = frozenset()
    """Kinds of instrument of which it was said that there is none."""


class Finding(Frozen):
    """A fault, what was done about it, and whether a retest proved the cure."""

    raised: FindingRaised
    """What was found."""
    seq: int
    """Number of the entry that raised it."""
    cure: str = ""
    """What was done; empty until something was."""
    cured_at: int | None = None
    """Number of the last entry that says what was done; None until one did."""
    proved_by: int | None = None
    """The later attempt that passed; None until one did."""
    wrong: WentWrong | None = None
    """The mishap by which it was found, at no stage; None where a stage found it."""

    @property
    def told(self) -> str:
        """Where it is and what was seen, as typed."""
        return f"{self.raised.where}: {self.raised.note}" if self.wrong is None else self.wrong.told


class BuildState(Keeping):
    """One build as its entries tell it."""

    build_id: str
    """Its id."""
    name: str = ""
    """What the builder calls it."""
    procedure: str = ""
    """Digest of the procedure it is judged by."""
    parts: tuple[Part, ...] = ()
    """Parts of its loop, in the order in which they were fitted."""
    loop_seq: int = 0
    """Number of the entry that changed the loop last: a part fitted, taken out, or left out of the test; 0 before."""
    left_out: Mapping[str, str] = field(default_factory=dict)
    """Parts that are left out of the pressure test, by id, and why."""
    measured: LoopVolume | None = None
    """The volume as last measured on air; None where it was not, or where parts were changed since."""
    runs: Mapping[str, tuple[StageRun, ...]] = field(default_factory=dict)
    """All attempts at the stages, in order, by the id of the stage."""
    proving: Mapping[Proof, str] = field(default_factory=dict)
    """Which stage proves what of the loop, by its id."""
    held: Held | None = None
    """The last pressure hold that was ended; None before."""
    wetted: tuple[Logged, ...] = ()
    """Entries by which coolant was put into the loop, taken out of it, or sank in it, in order: what was proved of it
    before speaks of another loop."""
    level_read: int = 0
    """The last entry that read the level of its coolant; 0 where none did."""
    coolant_m3: float = 0.0
    """What is in the loop by the amounts that were told since it was last held on air [m3]."""
    opened: tuple[Logged, ...] = ()
    """Entries by which a part was taken out of the loop, in order: it was open then."""
    pump_supply: PumpSupply | None = None
    """What powers the pump in fill and bleed; None until it was said."""
    plugged: Plugged = field(default_factory=Plugged)
    """Headers and chains, and what sits where."""
    findings: tuple[Finding, ...] = ()
    """All findings, in order."""
    overridden: Mapping[str, str] = field(default_factory=dict)
    """Stages whose lock was overridden, and why."""
    put_away: bool = False
    """Whether it is left out of the list of builds."""
    notes: tuple[str, ...] = ()
    """Notes, in order."""
    unknown: tuple[Logged, ...] = ()
    """Entries of kinds that this program does not know, in order, withdrawn ones too."""
    withdrawn: frozenset[int] = frozenset()
    """Numbers of the entries that no longer count."""
    problems: tuple[Problem, ...] = ()
    """Entries that do not fit, and why."""
    last: Logged | None = None
    """The last entry of the build."""
    news: tuple[Change, ...] = ()
    """What the entry that is folded changed of the loop, unheard yet by the attempts; none between two entries."""

    @property
    def volume(self) -> LoopVolume | None:
        """The loop's volume: measured on air where it was, else the sum of the parts, else as its hold was judged."""
        if self.measured is None:
            return volume_from_parts(self.parts) or (None if self.held is None else self.held.volume)
        return with_parts(self.measured, tuple(part for part in self.parts if part.part_id in self.left_out))

    @property
    def tested_parts(self) -> tuple[Part, ...]:
        """The parts that the test pressure reaches: all but those that were left out of the test."""
        return tuple(part for part in self.parts if part.part_id not in self.left_out)

    @property
    def tested_volume(self) -> LoopVolume | None:
        """The volume that the test pressure reaches: measured on air where it was, else the sum of those parts."""
        return self.measured or volume_from_parts(self.tested_parts)

    def stage_of(self, proof: Proof) -> str:
        """Return the id of the stage that proves something of the loop; empty where none does."""
        return self.proving.get(proof, "")

    @property
    def pump_doubt(self) -> Phrase | None:
        """What is not known of the pumps; None where as many are plugged as the loop has."""
        doubt, listed = self.plugged.pump_doubt, sum(part.kind is PartKind.PUMP for part in self.parts)
        if doubt is not None or self.plugged.pumps >= listed:
            return doubt
        said = (
            f"{listed} pumps are on the parts list and {self.plugged.pumps} written down here: write the others down."
        )
        return Phrase("pumps_missing", f"{said} One that stands is a valve.")

    def run(self, stage: str) -> StageRun:
        """Return the attempt at a stage that is not closed yet, or a fresh one after the last."""
        runs = self.runs.get(stage, ())
        if runs and runs[-1].closed is None:
            return runs[-1]
        return fresh_run(len(runs) + 1, runs[-1] if runs else None)

    def judged_run(self, stage: str) -> StageRun | None:
        """Return the last attempt at a stage that was ended and judged, or None."""
        closed = [run for run in self.runs.get(stage, ()) if run.closed is not None]
        return closed[-1] if closed else None

    @property
    def open_findings(self) -> tuple[Finding, ...]:
        """Findings without a cure."""
        return tuple(finding for finding in self.findings if not finding.cure)
