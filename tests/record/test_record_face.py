"""The list of stages that a record is read with, and that each of them says all that the record asks."""

from dataclasses import dataclass
from typing import Any, cast

import pytest
from msgspec import structs

from commission.base.errors import NotAllowed
from commission.base.frozen import replace
from commission.base.verdict import Outcome
from commission.procedure.load import default_toml, load_procedure
from commission.record.build_state import BuildState, ShopState
from commission.record.entries import SHARED_KINDS, Withdrawn
from commission.record.face import RecordFace, Registry
from commission.record.machine.proof import Proof
from commission.record.payload import kind_shown
from commission.record.record import KEPT
from commission.stages.build_sheet.work import Sheet
from commission.stages.fill.work.fills import Fills
from commission.storage.chain import body_of
from tests.fakes import new_book
from tests.registered import KINDS, REGISTRY, read_body
from tests.storage.making import draft, plainest

SHEET = REGISTRY.faces[0]


@dataclass(frozen=True, slots=True)
class Counted:
    """What an invented stage keeps."""

    number: int = 0


@pytest.mark.parametrize("state", [BuildState(build_id="b1"), ShopState()], ids=["build", "workshop"])
def test_a_stage_keeps_its_state_under_its_class(state: BuildState | ShopState) -> None:
    assert state.of(Counted) == Counted()
    later = state.with_(Counted(number=3))
    assert later.of(Counted).number == 3
    assert later.with_(Counted(number=4)).of(Counted).number == 4
    assert (state.of(Counted).number, later.of(Counted).number) == (0, 3)


def test_every_kind_belongs_to_one_stage_or_to_none() -> None:
    of_stages = [kind for face in REGISTRY.faces for kind in (*face.kinds, *face.shop_kinds)]
    assert len(of_stages) == len(set(of_stages))
    assert set(KINDS.values()) == {*of_stages, *SHARED_KINDS}
    assert not set(of_stages) & set(SHARED_KINDS)


@pytest.mark.parametrize("face", REGISTRY.faces, ids=lambda face: face.id)
def test_what_begins_ends_or_stays_is_of_the_stage_that_says_so(face: RecordFace) -> None:
    assert set(face.ends) | set(face.kept) <= set(face.kinds)
    # what a verdict rests on, and the verdict, are never withdrawn
    assert set(face.ends) <= set(face.kept)
    assert not set(KEPT) & set(face.kinds)
    if face.series is not None:
        assert {face.series.begun, face.series.closed} <= set(face.kept)


@pytest.mark.parametrize("face", REGISTRY.faces, ids=lambda face: face.id)
def test_what_ends_an_attempt_carries_a_verdict_with_an_outcome(face: RecordFace) -> None:
    for kind in face.ends:
        (verdict,) = (field.type for field in structs.fields(cast(Any, kind)) if field.name == "verdict")
        assert isinstance(verdict, type)
        assert {field.name: field.type for field in structs.fields(verdict)}["outcome"] is Outcome


def test_the_stages_of_the_procedure_are_known_to_the_record() -> None:
    stages = load_procedure(default_toml()).stages
    known = [face.id for face in REGISTRY.faces]
    assert [stage.id for stage in stages] == [each for each in known if each in {stage.id for stage in stages}]


def test_two_stages_that_prove_the_same_are_refused() -> None:
    fill = next(face for face in REGISTRY.faces if face.proves is Proof.FILLED)
    with pytest.raises(ValueError, match="two stages prove the same"):
        Registry((fill, replace(SHEET, proves=Proof.FILLED)))


def test_two_stages_of_one_id_or_one_word_are_refused() -> None:
    with pytest.raises(ValueError, match="two stages have one id, or one word stands for two kinds"):
        Registry((SHEET, SHEET))
    with pytest.raises(ValueError, match="two stages have one id, or one word stands for two kinds"):
        Registry((SHEET, RecordFace(id="other", kinds=SHEET.kinds, fold=SHEET.fold, text=SHEET.text)))


def test_use_cases_are_made_once_of_the_record_and_found_by_their_class() -> None:
    book, _, _ = new_book()
    assert isinstance(book.work(Fills), Fills)
    assert book.work(Fills) is book.work(Fills)
    assert book.work(Sheet) is book.work(Sheet)
    assert new_book()[0].work(Sheet) is not book.work(Sheet)


NEVER_WITHDRAWN = {
    "entries taken over",
    "handed over",
    "visit begun",
    "report issued",
    "session opened",
    "power test aborted",
    "procedure adopted",
    "build opened",
    "instrument added",
    "source isolated",
    "test rig described",
    "hold started",
    "row noted",
    "rows refused",
    "row withdrawn",
    "hold extended",
    "hold closed",
    "leak search begun",
    "leak search pumped up",
    "fill closed",
    "bleed started",
    "bleed closed",
    "pump started",
    "first power closed",
    "headers closed",
    "soak started",
    "soak closed",
    "withdrawn",
    "series headed",
    "series sealed",
}
"""Our choice: what says when something began, when it ended and what it proved, and what others were judged by. An
instrument is retired instead: no build hears of the workshop, so what was read off it would go on counting."""

OWN_REFUSAL = {"wet watch ended": "that leak watch is over"}
"""Kinds that their stage refuses to withdraw for a reason of its own."""


def test_what_ends_a_stage_is_shown_as_an_end() -> None:
    """A valve is closed, a stage is ended: so says the glossary of shown texts; the stored words keep theirs."""
    shown = {word: kind_shown(plainest(kind)) for word, kind in KINDS.items() if word.endswith("closed")}
    assert {"hold closed", "soak closed"} <= set(shown)
    assert [word for word in shown.values() if not word.endswith(" ended")] == []


@pytest.mark.parametrize("word", KINDS)
def test_every_kind_is_stored_folded_told_and_has_a_rule_of_withdrawal(word: str) -> None:
    payload = plainest(KINDS[word])
    book, log, _ = new_book()
    entry = log.append(draft(payload))
    body, text = body_of(draft(payload), 1)
    assert (body.kind, read_body(text)[1]) == (word, payload)
    state = book.build(entry.build)
    assert state.last == entry
    assert state.unknown == ()
    assert isinstance(book.entry_text(payload), str)
    if word in NEVER_WITHDRAWN:
        with pytest.raises(NotAllowed, match=rf'entry 1 \("{kind_shown(payload)}"\) cannot be withdrawn'):
            book.withdraw(entry.seq, "mistyped")
    elif word in OWN_REFUSAL:
        with pytest.raises(NotAllowed, match=OWN_REFUSAL[word]):
            book.withdraw(entry.seq, "mistyped")
    else:
        assert book.withdraw(entry.seq, "mistyped").payload == Withdrawn(target=entry.seq, reason="mistyped")
