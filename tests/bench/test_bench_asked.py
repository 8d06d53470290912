"""The lists and sheets that are no stage read a line once, too: what was told of it is what Enter does."""

from collections.abc import Callable
from pathlib import Path

import pytest

from commission.base.errors import InputError
from commission.bench.ask import Flow, asked_choice, one_word
from commission.bench.deed import Deed
from commission.bench.home import HomeFlow
from commission.bench.mishap.flow import MishapFlow
from commission.bench.mishap.told import Told
from commission.bench.only_this import Old, meant
from commission.bench.prompt import Prompt
from commission.bench.record import RecordFlow
from commission.record.logbook import Logbook
from commission.report.flow import ReportFlow
from commission.stages.every import STAGES
from commission.stages.thermal_soak.card.soak import SoakFlow
from tests.fakes import new_book


def _home(book: Logbook, _build: str) -> Flow:
    return HomeFlow(book, STAGES)


def _record(book: Logbook, build: str) -> Flow:
    return RecordFlow(book, build)


def _mishap(book: Logbook, build: str) -> Flow:
    return MishapFlow(book, Told(what="leak", build_id=build))


def _report(book: Logbook, build: str) -> Flow:
    return ReportFlow(book, STAGES, build)


@pytest.mark.parametrize(
    ("made", "line", "reader"),
    [
        (_home, "put away North tower", "commission.bench.home.command"),
        (_record, "note seal of the pump is new", "commission.bench.record.command"),
        (_mishap, "done", "commission.bench.mishap.flow.one_word"),
        (_report, "{folder}/tower.html", "commission.report.flow.checked_file"),
    ],
)
def test_a_line_is_read_once_for_what_is_told_of_it_and_for_enter(
    made: Callable[[Logbook, str], Flow], line: str, reader: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book, _, _ = new_book()
    book.name_operator("Ada")
    flow = made(book, book.open_build("North tower"))
    read: list[object] = []
    module, _, name = reader.rpartition(".")
    real = getattr(__import__(module, fromlist=[name]), name)

    def counted(*given: object) -> object:
        read.append(given)
        return real(*given)

    monkeypatch.setattr(reader, counted)
    prompt = flow.now()
    assert prompt is not None
    text = line.format(folder=tmp_path)
    assert prompt.understand(text)
    told = len(read)
    assert told > 0
    flow.answer(text)
    assert len(read) == told, "read again at Enter"


def test_what_is_refused_behind_a_refused_text_names_that_text_once_in_quotes() -> None:
    asked = Prompt(key="caution", ask="Pull the plug.", understand=one_word("out"))
    found = meant(asked, "yes no", [Old(text="yes")], wet_is_a_leak=False)
    assert found.taken.why_not.startswith('behind "yes", refused: ')


def test_a_lock_leads_to_the_first_stage_that_is_not_locked_itself() -> None:
    book, *_ = new_book()
    build = book.open_build("Blue Heron")
    flow = SoakFlow(book, build)
    asked = flow.now()
    assert asked is not None
    assert asked.ask.endswith("it rests on bleed, which is locked. Enter goes to pressure hold, which is open.")
    flow.answer("go")
    assert flow.go == "pressure_hold"


@pytest.mark.parametrize(("proposal", "said"), [("take", "type take, or press Enter alone"), (None, "type take")])
def test_a_refusal_offers_enter_only_where_enter_is_that_word(proposal: str | None, said: str) -> None:
    question = asked_choice((("take",), Deed(told="take")), key="take", ask="Take it?", proposal=proposal)
    with pytest.raises(InputError) as refused:
        question.deed("later")
    assert str(refused.value) == f'"later" was not expected here; {said}'
