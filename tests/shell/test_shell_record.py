"""``list``, ``show``, ``verify``, ``export``, ``import``: plain lines about the demo workshop."""

import hashlib
import json
import re
import shutil
import sqlite3
import time
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from commission.shell import options
from tests.registered import open_logbook
from tests.shell.running import SAMPLES, called, one_line

BUNDLE = SAMPLES / "workshop.jsonl"
_BODIES = [json.loads(line).get("body", {}) for line in BUNDLE.read_text(encoding="utf-8").splitlines()]
_DESK = next(body["build"] for body in _BODIES if body.get("payload", {}).get("name") == "Window desk")
DESK_ENTRIES = sum(body.get("build") == _DESK for body in _BODIES)
"""Entries of the Window desk, counted in the bundle."""
_CLOSED = next(body for body in _BODIES if (body.get("kind"), body.get("build")) == ("hold closed", _DESK))
FIRST_CLOSED = datetime.fromtimestamp(_CLOSED["wall_ms"] / 1000, timezone(timedelta(minutes=_CLOSED["offset_min"])))
"""When its first hold ended, by the clock on its wall; the demo's times of day move with whatever is asked before."""


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo workshop's logbook; not to be written to."""
    path = tmp_path_factory.mktemp("workshop") / "workshop.logbook"
    done = called("import", str(BUNDLE), "--logbook", str(path))
    assert (done.status, done.err) == (0, "")
    return path


def test_list_names_every_build_and_where_it_stands(workshop: Path) -> None:
    shown = called("list", logbook=workshop)
    assert shown.status == 0
    # minutes and entry numbers move with each step that the demo gains
    lines = [
        re.sub(r"(\d\d):\d\d \+0100", r"\1 h +0100", re.sub(r"since entry \d+", "since entry N", line))
        for line in shown.lines
    ]
    rest_locked = (
        "fill: locked, rests on Pressure hold; bleed: locked, rests on Fill; "
        "first power-on: locked, rests on Pressure hold, Fill; fan headers: locked, rests on First power-on; "
        "thermal soak: locked, rests on Bleed, First power-on, Fan headers; handover: locked, "
        "rests on Pressure hold, Fill, Bleed, First power-on, Fan headers, Thermal soak"
    )
    assert lines == [
        f"build: North shelf; opened: 2026-03-21 00 h +0100; pressure hold: open; {rest_locked}",
        f"build: Guest cube; opened: 2026-03-20 22 h +0100; pressure hold: failed, attempt 1; {rest_locked}",
        "build: Loft desk; opened: 2026-03-19 18 h +0100; pressure hold: passed, attempt 1; "
        "fill: passed, attempt 1; bleed: passed, attempt 1; "
        "first power-on: passed, attempt 1; fan headers: passed, attempt 1; thermal soak: passed, attempt 2; "
        "handover: passed, attempt 3",
        f"build: Travel box; opened: 2026-03-15 17 h +0100; pressure hold: open; {rest_locked}",
        "build: Corner tower; opened: 2026-03-15 08 h +0100; pressure hold: passed, attempt 1; "
        "fill: passed, attempt 1; bleed: passed, attempt 2; "
        "first power-on: failed, attempt 1; fan headers: locked, rests on First power-on; "
        "thermal soak: locked, rests on First power-on, Fan headers; "
        "handover: locked, rests on First power-on, Fan headers, Thermal soak",
        "build: Window desk; opened: 2026-03-14 09 h +0100; pressure hold: passed, attempt 2; "
        "fill: passed, attempt 1; bleed: passed, attempt 1; "
        "first power-on: passed, attempt 1; fan headers: stale, since entry N; "
        "thermal soak: locked, rests on Fan headers; handover: locked, rests on Fan headers, Thermal soak",
    ]


def test_an_empty_logbook_has_no_builds(tmp_path: Path) -> None:
    path = tmp_path / "empty.logbook"
    path.touch()
    assert called("list", logbook=path).lines == ["builds: none yet"]


def test_show_tells_the_whole_story_of_a_build(workshop: Path) -> None:
    shown = called("show", "window DESK", logbook=workshop)
    assert shown.status == 0
    lines = shown.lines
    assert all(": " in line for line in lines)
    assert lines[0] == "build: Window desk"
    assert sum(line.startswith("part ") for line in lines) == 8
    assert "loop volume: 1200 mL, ± 30 mL (95 %); measured on air" in lines
    assert f"hold 1: fail, at its planned end, ended {FIRST_CLOSED:%Y-%m-%d %H:%M %z}" in lines
    assert any(line.startswith("hold 2: pass, at its planned end, ended 2026-03-14 12:") for line in lines)
    finding = next(line for line in lines if line.startswith("defect: "))
    assert "pinched" in finding
    assert finding.endswith("proved by hold 2")
    assert lines[-2] == f"entries: {DESK_ENTRIES}"
    assert lines[-1].startswith("last digest: ")


def test_show_tells_supply_rungs_seats_sweeps_and_duties(workshop: Path) -> None:
    lines = called("show", "Window desk", logbook=workshop).lines
    for line in (
        "supply: Larkspur 850, windows of ATX2; made by hand: processor 8-pin",
        "step 4 whole machine: PASS",
        "cable processor 8-pin: PASS, 8 of 8 wires proven",
        # windows: ATX12V design guide 2.0, table 2, 5 % either way
        "rail processor 8-pin +12 V loaded: 12.020 V, PASS: 11.40 to 12.60 V",
        "wet watch: pass",
        "machine: pass, pump: its speed is shown after 2 s, 4710 rpm, headers as recorded, processor 36 °C",
        "fan headers verdict so far: inconclusive",
    ):
        assert line in lines
    swept = [line for line in lines if line.startswith(("sweep 1: ", "sweep 2: "))]
    assert swept[0].startswith("sweep 1: top on FAN A: controlled, stalls below 50 % (pass), 60 readings, ")
    assert swept[1].startswith("sweep 2: top on FAN A: controlled (pass), 60 readings, ")
    assert all("; STALE since entry " in line for line in swept)
    assert any(line.startswith("sweep 1 possible cause: ") and "set the header to PWM" in line for line in lines)
    duty = next(line for line in lines if line.startswith("duty top: "))
    # 50 log10(601 / 1500) is -19.9 dB: fan laws, slope common practice, no source
    assert duty.startswith("duty top: 40 %, 601 rpm; zone top radiator; ESTIMATE: 20 to 22 dB quieter than ")
    tower = called("show", "Corner tower", logbook=workshop).lines
    assert 'step 3 pump only: locked; It rests on "supply alone", which is fail.' in tower
    assert any(line.startswith("rail graphics 2 +12 V loaded: 11.300 V, FAIL: ") for line in tower)


def test_show_tells_nothing_of_power_where_nothing_was_done(workshop: Path) -> None:
    lines = called("show", "Travel box", logbook=workshop).lines
    assert not [line for line in lines if line.startswith(("supply", "rung", "header", "fan headers verdict", "sweep"))]


def test_show_warns_of_metals_that_corrode_each_other(workshop: Path) -> None:
    warnings = [line for line in called("show", "Travel box", logbook=workshop).lines if line.startswith("warning: ")]
    assert "Bare aluminium and copper" in warnings[0]
    assert "4000 mbar, more than 5 times the test pressure" in warnings[1]


def test_show_lists_every_entry_and_says_which_is_withdrawn(workshop: Path) -> None:
    entries = [
        line for line in called("show", "Window desk", "--entries", logbook=workshop).lines if line.startswith("entry ")
    ]
    assert len(entries) == DESK_ENTRIES
    assert any("chain moved: top on FAN B (its cable touched the graphics card)" in line for line in entries)
    withdrawn = [line for line in entries if "WITHDRAWN" in line]
    assert len(withdrawn) == 2
    assert "coolant added: 101 mL" in withdrawn[1]
    number = int(withdrawn[0].split()[1].rstrip(":"))
    assert f"WITHDRAWN by entry {number + 1}, " in withdrawn[0]
    assert "599.0 mbar" in withdrawn[0]
    assert any(
        line.startswith(f"entry {number + 1}: ") and f"entry {number}: typed 5 for 4" in line for line in entries
    )
    assert all(" by Ilka: " in line for line in entries)


def test_a_name_that_is_not_there_is_met_with_those_that_are(workshop: Path) -> None:
    shown = called("show", "Shelf", logbook=workshop)
    assert (shown.status, shown.out) == (2, "")
    assert '"North shelf", "Guest cube", "Loft desk", "Travel box", "Corner tower"' in one_line(shown.err)


@pytest.mark.parametrize("arguments", [("list",), ("show", "x"), ("verify",), ("export", "-")])
def test_looking_makes_no_logbook(arguments: tuple[str, ...], tmp_path: Path) -> None:
    path = tmp_path / "none.logbook"
    looked = called(*arguments, logbook=path)
    assert (looked.status, looked.out) == (2, "")
    assert "there is no logbook at" in one_line(looked.err)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("arguments", [("list",), ("verify",), ("end-hold", "x"), ("feed", "--build", "x")])
def test_a_file_that_is_no_logbook_is_refused_and_untouched(arguments: tuple[str, ...], tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear Ilka\n" * 200, encoding="utf-8")
    before = path.read_bytes(), path.stat().st_mtime_ns
    refused = called(*arguments, logbook=path)
    assert refused.status == 2
    assert one_line(refused.err)
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before


def test_verify_is_0_only_if_all_is_sound(workshop: Path, tmp_path: Path) -> None:
    sound = called("verify", logbook=workshop)
    assert (sound.status, sound.lines[-1]) == (0, "verdict: sound")
    assert any(line.startswith("last digest: ") for line in sound.lines)
    forged = tmp_path / "forged.logbook"
    shutil.copy(workshop, forged)
    connection = sqlite3.connect(forged)
    triggers = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in triggers:
        connection.execute(f'DROP TRIGGER "{name}"')
    connection.execute("UPDATE entry SET body = replace(body, 'pinched', 'perfect') WHERE body LIKE '%pinched%'")
    for _, sql in triggers:
        connection.execute(sql)
    connection.commit()
    connection.close()
    unsound = called("verify", logbook=forged)
    assert (unsound.status, unsound.lines[-1]) == (1, "verdict: NOT SOUND")
    assert any(line.startswith("problem: entry ") for line in unsound.lines)


def test_out_and_in_again_it_is_the_same_record(workshop: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.jsonl"
    told = called("export", str(out), logbook=workshop)
    assert told.status == 0
    assert out.read_bytes() == BUNDLE.read_bytes()
    assert called("export", "-", logbook=workshop).out.encode() == BUNDLE.read_bytes()
    again = called("export", str(out), logbook=workshop)
    assert again.status == 2
    assert "is there already" in one_line(again.err)


def test_an_import_over_a_logbook_or_of_half_a_file_leaves_nothing(workshop: Path, tmp_path: Path) -> None:
    over = called("import", str(BUNDLE), logbook=workshop)
    assert over.status == 2
    assert one_line(over.err)
    half = tmp_path / "half.jsonl"
    half.write_bytes(BUNDLE.read_bytes()[:20_000])
    target = tmp_path / "half.logbook"
    assert called("import", str(half), logbook=target).status == 2
    assert not target.exists()
    missing = called("import", str(tmp_path / "missing.jsonl"), logbook=target)
    assert missing.status == 2
    assert one_line(missing.err)


def test_what_was_fed_and_closed_goes_out_and_in(tmp_path: Path) -> None:
    text = "# volume: 1.2 L\n# source: hose off\n# gauge step: 0.1 mbar\ngauge [mbar]\n" + 70 * "500.0\n"
    path, out = tmp_path / "bench.logbook", tmp_path / "out.jsonl"
    for build in ("Desk", "Shelf"):
        assert called("feed", "--build", build, "--new", text=text, logbook=path).status == 0
    assert called("end-hold", "Desk", logbook=path).status in (0, 1, 3)
    assert called("export", str(out), logbook=path).status == 0
    again = tmp_path / "again.logbook"
    assert one_line(called("import", str(out), logbook=again).err or "none\n") == "none"
    assert called("list", logbook=again).lines == called("list", logbook=path).lines
    assert called("verify", logbook=again).lines[-1] == "verdict: sound"


def test_an_import_refuses_what_the_screens_would_and_names_the_entry(workshop: Path, tmp_path: Path) -> None:
    """A whole chain and right digests are no excuse: here a reading speaks of a hold that never began."""
    digest, lines = "", BUNDLE.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if '"kind":"hold started"' not in line and line.startswith('{"body":')]
    forged = [lines[0]]
    for seq, line in enumerate(kept, 1):
        body = re.sub(r'"seq":\d+', f'"seq":{seq}', line[len('{"body":') : line.index(',"digest":"', -80)], count=1)
        digest = hashlib.sha256(f"{digest}\n{body}".encode()).hexdigest()
        forged.append(f'{{"body":{body},"digest":"{digest}"}}')
    forged.append(f'{{"end":{{"digest":"{digest}","entries":{len(kept)},"series":{{}}}}}}')
    source = tmp_path / "forged.jsonl"
    source.write_text("".join(f"{line}\n" for line in forged), encoding="utf-8", newline="\n")
    refused = called("import", str(source), logbook=tmp_path / "y.logbook")
    assert refused.status == 2
    assert re.search(r"line \d+: entry \d+: ", one_line(refused.err))
    assert not (tmp_path / "y.logbook").exists()


def test_hostile_names_and_notes_are_shown_spelled_out(tmp_path: Path) -> None:
    path = tmp_path / "hostile.logbook"
    name = "desk\x1b[2J\u202e [/] [@click=app.quit]x[/]"
    text = "# volume: 1.2 L\n# source: hose off\nelapsed [s],gauge [mbar],note\n0,500.0,\x1b]52;c;eA==\x07\n"
    fed = called("feed", "--build", name, "--new", text=text, logbook=path)
    assert fed.lines == ["stored 1"]
    for arguments in (("list",), ("show", name, "--entries")):
        shown = called(*arguments, logbook=path)
        assert shown.status == 0
        assert "desk\\u001b[2J\\u202e [/] [@click=app.quit]x[/]" in shown.out
        assert not set(shown.out) & {"\x1b", "\x07", "\u202e"}


def test_the_logbook_is_named_by_option_before_or_after_the_command_or_by_the_environment(workshop: Path) -> None:
    for arguments in (("--logbook", str(workshop), "list"), ("list", "--logbook", str(workshop))):
        assert called(*arguments).lines == called("list", logbook=workshop).lines
    other = called("list", "--logbook", str(workshop), logbook=workshop.with_name("none"))
    assert other.status == 0


def test_a_command_waits_for_another_one_that_writes_for_a_moment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    logbook = tmp_path / "bench.logbook"
    other = open_logbook(logbook).book
    other.open_build("Desk loop")
    monkeypatch.setattr(options, "WAIT_S", 0.0)
    late = called("note", "Desk loop", "dust", logbook=logbook)
    assert (late.status, one_line(late.err).endswith("close that window to write here, or try again")) == (2, True)
    monkeypatch.setattr(options, "WAIT_S", 60.0)
    monkeypatch.setattr(time, "sleep", lambda _s: other.close())  # it is done while this one waits
    assert called("note", "Desk loop", "dust", logbook=logbook).status == 0


def test_a_build_like_one_that_has_nothing_is_not_opened(tmp_path: Path) -> None:
    log = tmp_path / "x.logbook"
    assert called("open", "Bare bench", logbook=log).status == 0
    refused = called("open", "Grey Owl", "--like", "Bare bench", logbook=log)
    assert (refused.status, "has nothing that can be copied" in refused.err) == (2, True)
    assert "Grey Owl" not in called("list", logbook=log).out
