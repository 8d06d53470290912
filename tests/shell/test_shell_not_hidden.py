"""What a command may not keep to itself: a log that is not sound, an open defect behind a report, a leak in a line."""

import sqlite3
from pathlib import Path

import pytest

from commission.base.errors import FileError
from commission.bootstrap import merge_logbook
from tests.registered import REGISTRY
from tests.shell.running import called, one_line


def test_a_log_with_a_broken_chain_is_shown_with_a_warning(tmp_path: Path) -> None:
    log = tmp_path / "x.logbook"
    called("open", "Desk loop", logbook=log)
    called("note", "Desk loop", "seal pinched", logbook=log)
    assert "NOT SOUND" not in called("list", logbook=log).err
    connection = sqlite3.connect(log)
    (drop,) = (name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE name = 'entry_no_update'"))
    connection.execute(f"DROP TRIGGER {drop}")
    connection.execute("UPDATE entry SET body = replace(body, 'pinched', 'perfect')")
    connection.commit()
    connection.close()
    for words in (["list"], ["show", "Desk loop"], ["due"], ["headers", "Desk loop"]):
        assert "NOT SOUND: entry " in called(*words, logbook=log).err


@pytest.mark.parametrize("line", ["smoke from the supply", "700 mL wet at the pump", "it drips"])
def test_a_refused_line_about_a_leak_or_smoke_names_the_command_for_it(tmp_path: Path, line: str) -> None:
    log = tmp_path / "x.logbook"
    called("open", "Wet bench", logbook=log)
    refused = called("plan", "Wet bench", line, logbook=log)
    assert refused.status == 2
    assert "defect" not in called("plan", "Wet bench", "volume much", logbook=log).err  # a name tells of no leak
    assert one_line(refused.err).endswith(". If something leaks, smokes or burst: commission defect --help")
    assert "commission defect" not in called("plan", "Desk loop", "pressure much", logbook=log).err


def test_a_report_of_an_earlier_entry_says_that_the_log_has_gone_on(tmp_path: Path) -> None:
    log = tmp_path / "x.logbook"
    called("open", "Desk loop", logbook=log)
    called("note", "Desk loop", "sealed", logbook=log)
    assert called("defect", "Desk loop", "leak", "drips", "--where", "pump", logbook=log).status == 0
    said = called("report", "Desk loop", "-o", str(tmp_path / "a.txt"), "--entry", "3", logbook=log)
    assert "the log of this build has gone on to entry" in said.out
    assert "and 1 defect is open; this report tells nothing behind 3" in said.out


def test_a_merge_of_two_instruments_of_one_name_tells_the_way_round(tmp_path: Path) -> None:
    for name in ("a", "b"):
        assert called("instrument", "room thermometer", logbook=tmp_path / f"{name}.logbook").status == 0
    with pytest.raises(FileError, match=r"already.*; commission export --build there makes a file of one build"):
        merge_logbook(tmp_path / "b.logbook", tmp_path / "a.logbook", REGISTRY, "", dry=False)
