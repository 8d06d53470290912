"""``commission list`` on a long list: pages, the last opened first, and nothing read that is not shown."""

import json
from pathlib import Path

import pytest

from commission.record.logged import Logged
from commission.storage.store import SqliteLog
from tests.registered import open_logbook
from tests.shell.running import called, one_line

BUILDS = 45


@pytest.fixture(scope="module")
def long_list(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("long") / "x.logbook"
    book = open_logbook(path).book
    for number in range(1, BUILDS + 1):
        book.open_build(f"Loop {number}")
    book.close()
    return path


def names(lines: list[str]) -> list[str]:
    return [line.split(";")[0].removeprefix("build: Loop ") for line in lines if line.startswith("build: ")]


def test_a_long_list_comes_in_pages_of_20(long_list: Path) -> None:
    pages = [called("list", "--page", str(page), logbook=long_list).lines for page in (1, 2, 3)]
    assert called("list", logbook=long_list).lines == pages[0]
    assert [names(page) for page in pages] == [
        [str(number) for number in range(top, low - 1, -1)] for top, low in ((45, 26), (25, 6), (5, 1))
    ]
    assert pages[0][-1] == "page: 1 of 3, 45 builds; next: commission list --page 2"
    assert pages[1][-1] == "page: 2 of 3, 45 builds; next: commission list --page 3"
    assert pages[2][-1].startswith("build: Loop 1;")


def test_all_are_listed_without_pages_where_that_is_wanted(long_list: Path) -> None:
    lines = called("list", "--all", logbook=long_list).lines
    pages = [called("list", "--page", str(page), logbook=long_list).lines for page in (1, 2, 3)]
    assert lines == [line for page in pages for line in page if line.startswith("build: ")]
    assert len(lines) == BUILDS


@pytest.mark.parametrize("page", ["4", "99999999999999999999"])
def test_a_page_that_is_not_there_says_which_are(long_list: Path, page: str) -> None:
    done = called("list", "--page", page, logbook=long_list)
    assert (done.status, done.out) == (2, "")
    assert one_line(done.err) == f"commission: there is no page {page}; the last is page 3: commission list --page 3"


def test_only_the_builds_of_the_page_are_read_and_each_once(long_list: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[int] = []
    under = SqliteLog._read

    def counted(self: SqliteLog, before: str, text: str, digest: str, *columns: str | int | None) -> Logged | None:
        read.append(int(columns[0] or 0))
        return under(self, before, text, digest, *columns)

    monkeypatch.setattr(SqliteLog, "_read", counted)
    assert len(called("list", logbook=long_list).lines) == 21
    # each opening is a row of the list and the one entry of its build
    assert len(read) == 20 + 20
    assert len(set(read)) == 20


def test_a_build_that_was_put_away_is_listed_with_that_word_until_it_is_brought_back(tmp_path: Path) -> None:
    path = tmp_path / "x.logbook"
    book = open_logbook(path).book
    book.open_build("Desk loop")
    book.close()
    said = called("put-away", "Desk loop", logbook=path)
    assert (said.status, 'put away: "Desk loop"' in said.out) == (0, True)
    again = called("put-away", "Desk loop", logbook=path)
    assert again.status == 2
    assert one_line(again.err).endswith('"Desk loop" is put away already')
    assert "; put away; " in called("list", logbook=path).lines[0]
    assert json.loads(called("list", "--json", logbook=path).out)["builds"][0]["put_away"] is True
    assert called("bring-back", "Desk loop", logbook=path).status == 0
    assert "put away" not in called("list", logbook=path).lines[0]
    assert json.loads(called("list", "--json", logbook=path).out)["builds"][0]["put_away"] is False
