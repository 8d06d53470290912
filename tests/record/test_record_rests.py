"""Which entry takes which verdicts: the record against a model of its own, and the table against both."""

import random
from pathlib import Path

import pytest

from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.base.verdict import Bounded, Outcome
from commission.procedure.stage_ids import BLEED, FAN_HEADERS, FILL, FIRST_POWER, HANDOVER, HOLD, THERMAL_SOAK
from commission.record.build_state import BuildState
from commission.record.entries import FindingCured, FindingRaised, NoteAdded, Withdrawn
from commission.record.fold import fold_further, fresh_build
from commission.record.logged import Logged
from commission.record.mishap import Mishap, WentWrong
from commission.record.part_changed import PartChanged, PartOf
from commission.record.payload import Payload
from commission.record.rests import judging, rest_rows, undone_by
from commission.stages.bleed.entries import BleedClosed
from commission.stages.build_sheet.entries import PartAdded
from commission.stages.fan_headers.entries import ChainAdded, ChainMoved, DutyNoted, HeaderAdded, HeadersClosed
from commission.stages.fan_headers.model.duties import DutyLeft
from commission.stages.fill.entries import CoolantDrained, CoolantPoured, FillClosed, LevelRead, ReservoirDescribed
from commission.stages.fill.model.coolant import Base
from commission.stages.fill.model.fill import Drain, Reservoir
from commission.stages.first_power.entries import (
    CableTested,
    FirstPowerClosed,
    MachineStarted,
    PumpStarted,
    RailsRead,
    SupplyDescribed,
)
from commission.stages.handover.entries import HandedOver, ToppedUp
from commission.stages.pressure_hold.entries import HoldClosed
from commission.stages.thermal_soak.entries import SoakClosed
from commission.stages.thermal_soak.model import ColdLevel
from commission.storage.chain import logged
from commission.units.parse import parse
from tests.fills import bottle
from tests.power_builds import chain, header, pump
from tests.registered import KINDS, REGISTRY, read_body
from tests.stale_model import Did, stale_of
from tests.storage.making import MARK, plainest, started
from tests.wet_builds import CAN, amount, poured

SAMPLE = Path(__file__).parents[2] / "sample_logs" / "workshop.jsonl"

ENDS: dict[str, tuple[str, type]] = {
    "h": (HOLD, HoldClosed),
    "f": (FILL, FillClosed),
    "b": (BLEED, BleedClosed),
    "p": (FIRST_POWER, FirstPowerClosed),
    "s": (FAN_HEADERS, HeadersClosed),
    "t": (THERMAL_SOAK, SoakClosed),
    "o": (HANDOVER, HandedOver),
}
"""Each stage of the model by its letter: its id, and what ends it."""

RUNGS: dict[str, type] = {
    "supply": SupplyDescribed, "cable": CableTested, "rails": RailsRead, "pump": PumpStarted, "machine": MachineStarted,
}  # fmt: skip

BOTTLES = {"water": CAN, "ready": bottle(Base.READY_MIX, name="ready-mixed", density_kg_m3=1030.0)}

HEADERS = {"pump": (header("H1"), header("H2")), "fans": (header("H3"), header("H4"))}
CHAINS = {"pump": pump(), "fans": chain("front")}
BEGIN: tuple[Payload, ...] = (
    *(HeaderAdded(header=one) for pair in HEADERS.values() for one in pair),
    *(ChainAdded(chain=one) for one in CHAINS.values()),
    ReservoirDescribed(reservoir=Reservoir(bore_m=0.06, height_m=0.15)),
)
"""Every walk begins with a pump and fans, two headers for each, so that no fans share the pump's, and a reservoir."""

LEVELS: dict[str, Payload] = {
    how: LevelRead(
        stage=BLEED, level=parse(f"{mm} mm", Quantity.LENGTH), coolant=parse("21 degC", Quantity.TEMPERATURE)
    )
    for how, mm in (("full", 140), ("low", 20))
}
"""Between them lie 339 mL: 2.827 mL a mm in a bore of 60 mm."""
MOVES = ("pour", "fill with", "drain", "visit")
"""What moves coolant."""


def _ended(kind: type, attempt: int, outcome: Outcome) -> Payload:
    payload = replace(plainest(kind), attempt=attempt)
    ended: Payload = replace(payload, verdict=replace(payload.verdict, outcome=outcome))
    return ended


def _fallen(ended: SoakClosed) -> Payload:
    """Return the end of a soak after which 20 mL are missing once cold."""
    missing = Bounded(value=2e-5, lower95=1e-5, upper95=3e-5)
    level = ColdLevel(missing=missing, before_k=293.15, after_k=293.15, moved_m3=0.0)
    return replace(ended, verdict=replace(ended.verdict, level=level))


def _payload(did: Did, attempt: int, turn: int, seq: int) -> Payload:
    """Return the entry that says what was done."""
    match did.word:
        case "start hold":
            return replace(started(f"s{seq}"), attempt=attempt)
        case "end" | "fail" | "fell":
            ended = _ended(ENDS[did.what][1], attempt, Outcome.PASS if did.word == "end" else Outcome.FAIL)
            return _fallen(ended) if isinstance(ended, SoakClosed) and did.word == "fell" else ended
        case "part":
            return PartAdded(part=replace(plainest(PartAdded).part, part_id=f"p{seq}", volume_m3=0.05))
        case "changed":
            of = {"loop": PartOf.LOOP, "supply": PartOf.SUPPLY, "fans": PartOf.FANS, "paste": PartOf.HEAT_PATH}
            front = CHAINS["fans"].chain_id if did.what == "fans" else ""
            return PartChanged(stage=HANDOVER, of=of[did.what], name="x", target_id=front, why="worn")
        case "pour" | "fill with":
            stage = FILL if did.word == "fill with" else BLEED
            return CoolantPoured(stage=stage, pour=poured(100, BOTTLES[did.what]))
        case "drain":
            return CoolantDrained(stage=FILL if did.what else BLEED, drain=Drain(dose=amount(10)))
        case "visit":
            return ToppedUp(
                attempt=1,
                pour=poured(100, BOTTLES["ready" if did.what == "other" else "water"]),
                usual_m3=1.0 if did.what == "usual" else 0.0,
            )
        case _:
            return _payload_on_top(did, turn, seq)


def _payload_on_top(did: Did, turn: int, seq: int) -> Payload:
    match did.word:
        case "defect":
            stage = HOLD if did.what == "hold" else FIRST_POWER
            return FindingRaised(finding_id=f"f{seq}", stage=stage, attempt=1, where="seal", part_id=None, note="drips")
        case "leak" | "spill" | "burst" | "smoke":
            return WentWrong(mishap_id=f"f{seq}", what=Mishap(did.word), where="lower port", seen="seen")
        case "power":
            rung: Payload = plainest(RUNGS[did.what])
            return rung
        case "plug":
            return ChainMoved(
                chain_id=CHAINS[did.what].chain_id, header_id=HEADERS[did.what][turn % 2].header_id, why=""
            )
        case "duty":
            at, stands = 90.0 - turn if did.what == "lower" else 100.0, did.what == "pump stands"
            left = DutyLeft(chain="one", zone="", duty_pct=at, rpm=0.0 if stands else None, full_rpm=None)
            return DutyNoted(chain_id=CHAINS["pump" if stands else "fans"].chain_id, left=left)
        case "repair":
            return FindingCured(finding_id=f"f{did.target}", cure="new seal")
        case "withdraw":
            return Withdrawn(target=did.target, reason="typed wrong")
        case _:
            return LEVELS.get(did.what, NoteAdded(text="seen"))


CHOICES = (
    *(Did("end", stage) for stage in "hfbpsto" * 2), *(Did("fail", stage) for stage in "hb"), Did("fell", "t"),
    Did("part"), Did("leak"),
    *(Did("changed", of) for of in ("loop", "supply", "fans", "paste")), Did("drain"),
    Did("drain", "in the fill"), Did("spill"), Did("burst"),
    *(Did(word, name) for word in ("pour", "fill with") for name in BOTTLES), Did("smoke"), Did("note"), Did("note"),
    *(Did("visit", how) for how in ("usual", "unusual", "other")), *(Did("defect", at) for at in ("hold", "power")),
    *(Did("power", rung) for rung in RUNGS), Did("plug", "fans"), Did("plug", "pump"), Did("withdraw"),
    Did("duty", "lower"), Did("duty", "full"), Did("duty", "pump stands"),
    Did("repair"), Did("repair"), *(Did("level", how) for how in ("full", "low", "low")),
)  # fmt: skip

TARGETS = ("note", "pour", "drain", "part")
"""What a walk withdraws: nothing that was repaired, failed on a step, or is never withdrawn."""


FOUND = ("defect", "leak", "burst", "smoke")


def _repair(seq: int, found: Did) -> Did:
    return Did("repair", found.what or found.word, target=seq)


def _next(rng: random.Random, done: list[Did], holds: list[str]) -> Did | None:
    """Return what is done next; None where it does not fit."""
    did = rng.choice(CHOICES)
    if did.what == "h" and did.word in ("end", "fail") and (not holds or holds[-1] != "running"):
        return Did("start hold")
    if holds and holds[-1] == "running" and did.what != "h" and did.word != "note":
        return None  # nothing else is done to a loop under test pressure
    if did.word == "repair":
        mended = {one.target for one in done if one.word == "repair"}
        found = [_repair(n, one) for n, one in enumerate(done, 1) if one.word in FOUND and n not in mended]
        return rng.choice(found) if found else None
    if did.word == "level" and _moved_since_a_level(done):
        return None  # by how much coolant is missing then depends on how sure the amounts are
    if did.word == "withdraw":
        gone = {one.target for one in done}
        free = [n for n, one in enumerate(done, 1) if one.word in TARGETS and n not in gone]
        return Did("withdraw", target=rng.choice(free)) if free else None
    return did


def _moved_since_a_level(done: list[Did]) -> bool:
    held = max((n for n, one in enumerate(done) if one.word == "start hold"), default=0)
    words = [one.word for one in done[held:]]
    return "level" in words and any(word in MOVES for word in words[words.index("level") :])


def _stale(state: BuildState) -> dict[int, bool]:
    runs = (run for runs in state.runs.values() for run in runs if run.closed is not None)
    return {run.closed.seq: run.stale_by is not None for run in runs if run.closed is not None}


class _Build:
    """A build of which both record and model are told what is done."""

    def __init__(self) -> None:
        self.done = [Did("begin") for _ in BEGIN]
        self.holds: list[str] = []
        self.state = fresh_build(REGISTRY, "b")
        self.entries: list[Logged] = []
        for payload in BEGIN:
            self._store(payload)

    def do(self, did: Did) -> tuple[type[Payload], set[str]]:
        """Do something, compare the two, and return what kind of entry it was and which stages it took."""
        ended = sum(one.what == did.what and one.word in ("end", "fail", "fell") for one in self.done)
        attempt = self.holds.count("ended") + 1 if did.word == "start hold" else ended + 1
        self.done.append(did)
        if did.word == "start hold" or did.what == "h":
            self.holds.append("running" if did.word == "start hold" else "ended")
        payload = _payload(did, attempt, self.done.count(did), len(self.done))
        before, seq = _stale(self.state), self._store(payload)
        after, model = _stale(self.state), stale_of(self.done)
        story = " | ".join(f"{n} {one.word} {one.what or one.target or ''}" for n, one in enumerate(self.done, 1))
        assert {one: after[one] for one in after if after[one] != model[one]} == {}, story
        runs = ((stage, run) for stage, runs in self.state.runs.items() for run in runs)
        return type(payload), {s for s, run in runs if run.closed and run.closed.seq in before and run.stale_by == seq}

    def _store(self, payload: Payload) -> int:
        seq = len(self.entries) + 1
        fresh = Logged(
            seq=seq, uid=f"u{seq}", build="b", operator="", mark=MARK, observed_ms=None, payload=payload, digest=""
        )
        self.entries.append(fresh)
        self.state = fold_further(REGISTRY, self.state, self.entries, (fresh,))
        return seq


def test_the_record_takes_what_a_model_of_its_own_takes() -> None:
    seed = random.randrange(10**6)
    print(f"seed {seed}")
    rng = random.Random(seed)
    for _ in range(50):
        build = _Build()
        while len(build.done) < 40:
            did = _next(rng, build.done, build.holds)
            if did is not None:
                build.do(did)


READY = (
    Did("start hold"), Did("end", "h"), Did("fill with", "water"), Did("end", "f"), Did("end", "b"), Did("note"),
    Did("power", "machine"), Did("plug", "pump"), Did("power", "machine"),
    *(Did("end", stage) for stage in "psto"), Did("level", "full"),
)  # fmt: skip
"""A machine of which everything was shown."""


def test_the_table_says_of_each_kind_what_it_takes_from_a_machine_of_which_all_was_shown() -> None:
    took: dict[type[Payload], set[str]] = {}
    for found in (Did("defect", "hold"), Did("defect", "power"), Did("leak"), Did("burst"), Did("smoke")):
        build = _Build()
        for did in (found, *READY):
            build.do(did)
        kind, taken = build.do(_repair(len(BEGIN) + 1, found))
        took.setdefault(kind, set()).update(taken)
    for choice in (*CHOICES, Did("start hold")):
        build = _Build()
        for did in READY:
            build.do(did)
        assert not any(_stale(build.state).values())
        did = Did("withdraw", target=len(BEGIN) + 1 + READY.index(Did("note"))) if choice.word == "withdraw" else choice
        if did.word != "repair" and (did.word not in ("end", "fail") or did.what != "h"):
            kind, taken = build.do(did)
            took.setdefault(kind, set()).update(taken)
    said: dict[type[Payload], set[str]] = {}
    for row in rest_rows(REGISTRY):
        said.setdefault(row.kind, set()).update(row.takes)
    # the note before the first power-on: what ended before it stands; any other entry may be withdrawn as well
    took[Withdrawn] |= {HOLD, FILL, BLEED}
    # one by which more was poured than fits takes the fill as well, and what rests on it: see the levels of the fill
    took[LevelRead] |= {FILL, FIRST_POWER, FAN_HEADERS}
    assert {kind.KIND: stages for kind, stages in took.items()} == {kind.KIND: said[kind] for kind in took}


def test_in_the_sample_logbook_no_entry_takes_what_the_table_does_not_say() -> None:
    said: dict[type[Payload], set[str]] = {}
    for row in rest_rows(REGISTRY):
        said.setdefault(row.kind, set()).update(row.takes)
    builds: dict[str, list[Logged]] = {}
    states: dict[str, BuildState] = {}
    took = 0
    for line in SAMPLE.read_text(encoding="utf-8").splitlines():
        if line.startswith('{"body":'):
            entry = logged(*read_body(line[len('{"body":') : line.rindex(',"digest":')]), "")
            before = states.get(entry.build) or fresh_build(REGISTRY, entry.build)
            builds.setdefault(entry.build, []).append(entry)
            state = states[entry.build] = fold_further(REGISTRY, before, builds[entry.build], (entry,))
            taken = {stage for stage, runs in state.runs.items() for run in runs if run.stale_by == entry.seq}
            assert taken <= said[type(entry.payload)], line[:200]
            took += len(taken)
    assert took


def test_the_table_has_a_row_for_every_kind_and_every_proof_can_fall() -> None:
    rows = rest_rows(REGISTRY)
    assert {row.kind for row in rows} == set(KINDS.values())
    for face in judging(REGISTRY):
        assert undone_by(REGISTRY, face.id)
    for row in rows:
        assert not row.when.endswith(".")
        assert bool(row.when) <= bool(row.takes)


@pytest.mark.parametrize("letter", ENDS)
def test_what_takes_a_proof_is_not_what_gives_it(letter: str) -> None:
    stage, kind = ENDS[letter]
    taking = {row.kind for row in undone_by(REGISTRY, stage)}
    assert kind not in taking
    assert NoteAdded not in taking
    assert Withdrawn in taking
