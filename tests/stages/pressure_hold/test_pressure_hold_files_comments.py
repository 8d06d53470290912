"""Free comment lines of a hold file are notes: one between its rows that says that it was pumped again is no pass.

Outside: air that goes in hides what leaks out (conservation of mass); the words are what a builder writes.
"""

from pathlib import Path

import pytest

from tests.shell.running import called

HEAD = "# volume: 1.2 L\n# limit: 0.01 mbar*L/s\n# source: hose off\n# gauge step: 0.1 mbar\n"
ROWS = [f"{minute},500.{5 - minute // 30},21.0,1013.2\n" for minute in range(0, 121, 10)]


def table(comment: str, *, before: int) -> str:
    rows = [*ROWS[:before], f"# {comment}\n", *ROWS[before:]]
    return f"{HEAD}elapsed [min],gauge [mbar],air [degC],barometer [hPa]\n{''.join(rows)}"


@pytest.mark.parametrize(
    ("comment", "before", "outcome"),
    [
        ("all quiet", 6, "pass"),
        ("pumped up again", 6, "inconclusive"),
        ("hiss at the pump", 13, "inconclusive"),  # behind the last row
        ("gauge valve shut", 6, "inconclusive"),
        ("Logged from the last stroke of the pump.", 0, "pass"),  # how it began
        ("pumped up again at 30 min", 0, "inconclusive"),
        ("the valve seeps and the pump is still on", 0, "inconclusive"),
        ("the valve seeps", 6, "inconclusive"),
        ("source left on", 6, "inconclusive"),
        ("hiss at the pump", 0, "inconclusive"),
        ("gauge valve shut", 0, "inconclusive"),
        ("pumped up to 500 mbar, gauge valve open", 0, "pass"),
        ("cap re-seated after 20 min", 0, "inconclusive"),
        ("pump still on, valve shut", 0, "pass"),
    ],
)
def test_a_comment_counts_as_a_note_between_the_rows_and_above_them(
    tmp_path: Path, comment: str, before: int, outcome: str
) -> None:
    file = tmp_path / "hold.csv"
    file.write_text(table(comment, before=before), encoding="utf-8")
    judged = called("judge", "hold", str(file))
    assert judged.lines[0] == f"verdict: {outcome}"
    assert ("Noted in the file: " in judged.out) is (not before)
    assert f"Noted {'at ' if before else 'in the file: '}" in judged.out
    assert comment[:40] in judged.out


def test_what_is_no_word_of_air_is_not_told_above_the_rows(tmp_path: Path) -> None:
    lines = (
        "no hiss",
        "soak after the leak test",
        "pump block leak test, bench 2",
        "fitting never leaks",
        "cap re-seated",
    )
    file = tmp_path / "hold.csv"
    file.write_text("".join(f"# {line}\n" for line in lines) + table("all quiet", before=0), encoding="utf-8")
    judged = called("judge", "hold", str(file))
    assert (judged.status, "Noted" in judged.out) == (0, False)


@pytest.mark.parametrize(("before", "said"), [(6, "Noted at "), (0, "Noted in the file: ")])
def test_a_comment_in_a_fed_table_stays_in_the_log_and_counts(tmp_path: Path, before: int, said: str) -> None:
    log = tmp_path / "x.logbook"
    began = ("--began", "2026-01-02T10:00+00:00")
    text = table("pumped up again", before=before)
    fed = called("feed", "--build", "Desk loop", "--new", *began, text=text, logbook=log)
    assert fed.status == 0, fed.err
    ended = called("end-hold", "Desk loop", logbook=log)
    assert (ended.status, said in ended.out) == (3, True)
    assert "pumped up again" in called("show", "Desk loop", "--entries", logbook=log).out
    again = called("feed", "--build", "Desk loop", "--new", *began, text=text, logbook=log)
    assert again.status == 2
