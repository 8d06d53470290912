"""A path in a typed line: a home, quotes, and what names no file is refused before anything is done with it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from commission.base.errors import InputError
from commission.bench.named_file import named_file, typed_path
from commission.procedure.connectors import connectors
from commission.report.flow import ReportFlow
from commission.stages.every import STAGES
from commission.stages.first_power.card.cable_form import read_map
from tests.fakes import new_book


def _report(text: str) -> object:
    book, _, _ = new_book()
    book.name_operator("Ada")
    return ReportFlow(book, STAGES, book.open_build("North tower")).question().prompt.understand(text)


def _table(text: str) -> object:
    return named_file(text, "a parts list")


def _pins(text: str) -> object:
    return read_map(text, connectors()[0])


@pytest.mark.parametrize("read", [_report, _table, _pins])
@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("~nobody-has-this-name/x.html", "no home"),
        ("~nobody-has", "no home"),  # as it stands while it is typed
        ("a\0b.html", "no file name may hold"),
        ("a\ud800b.html", "no file name may hold"),  # half of a pair: UTF-8 has no bytes for it
    ],
)
def test_a_path_that_can_name_no_file_is_refused_in_words(read: Callable[[str], object], text: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        read(text)


def test_a_home_is_found_and_quotes_do_not_count(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    assert typed_path(" '~/two words.csv' ") == tmp_path / "two words.csv"


def test_the_file_of_a_report_is_proposed_by_a_name_that_is_free_and_an_ending_alone_is_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    book, _, _ = new_book()
    book.name_operator("Ada")
    flow = ReportFlow(book, STAGES, book.open_build("North tower"))
    stem = (flow.question().prompt.proposal or "").removesuffix(".html")
    for ending in (".html", ".txt", ".json"):
        (tmp_path / f"{stem}{ending}").touch()
    assert flow.question().prompt.proposal == f"{stem}-2.html"
    (tmp_path / f"{stem}-2.txt").touch()
    assert flow.question().deed(".TXT").told.endswith(f" to {tmp_path / stem}-3.txt")
