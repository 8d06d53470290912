"""The bench line by line: every place within reach of a word, no line with a box or a key in it, and no Textual."""

import re
import subprocess
import sys
from pathlib import Path

from commission.__main__ import job
from commission.bench.unsent_kept import KeptUnsent
from commission.record.entries import Withdrawn
from commission.shell.plain.session import Session
from tests.answers import HOLD
from tests.shell.plain_lines import WAIT, Kept, lines_of
from tests.shell.running import called, environment
from tests.stages.fan_headers.screen.test_fan_headers_live import live_flow
from tests.surroundings import PATIENCE_S
from tests.ui.bench import ready


def test_every_place_is_reached_by_its_name_and_told_without_boxes_colours_or_keys() -> None:
    book, _, clock, build = ready()
    places = [face.id.replace("_", " ") for face in job().stages()]
    for place in [*places, "first power-on", "instruments", "bottles", "log", "report", "stage hold", "stages", "show"]:
        told, _ = lines_of(book, [place, "details", "help"], clock, build=build)
        assert not any("not stored" in line for line in told), place
        if place not in ("stages", "show"):
            assert any(line.startswith(("North tower", "meters", "commission")) for line in told[5:]), place
        for line in told:
            assert line.isprintable(), line
            assert not set(line) & set("│┃─━┌┐└┘█▐▌⣿"), line
            assert not re.search(r"\b(Esc|PgDn|F[0-9]+|Up and down)\b", line), line


def test_a_word_is_the_answer_where_a_text_is_asked_and_with_a_point_the_program_s() -> None:
    book, log, clock, build = ready()
    lines_of(book, ["log", "note the lamp was moved"], clock, build=build)
    head = book.head().seq
    told, session = lines_of(book, ["log", str(head), ".back", ".leave"], clock, build=build)
    assert session.over
    assert f"{book.build(build).name} · log".replace(" · ", ", ") in told, "the word that leads here is its title"
    assert book.head().seq == head
    told, _ = lines_of(book, ["log", str(head), "back"], clock, build=build)
    assert '"back" is a word of this program. Type it again to store it, or .back' in told
    assert book.head().seq == head
    lines_of(book, ["log", str(head), "back", "back"], clock, build=build)
    assert log.entries()[-1].payload == Withdrawn(target=head, reason="back")
    told, _ = lines_of(book, ["?"], clock)  # among the builds, where help tells the words of the program
    assert "operator NAME: who works from now on" in told
    told, _ = lines_of(book, [".nowhere"], clock, build=build)
    assert any(line.startswith(".nowhere is no word") for line in told)


def test_a_reading_that_falls_due_is_told_once() -> None:
    book, _, clock, build = ready()
    told, _ = lines_of(book, ["500 21", WAIT, "nothing", "nothing", "499.9 21"], clock, build=build)
    clocks = [line for line in told if line.startswith("clock: ")]
    assert [("NOW" in line, "next" in line) for line in clocks] == [(False, True), (True, False), (False, True)], clocks


def test_a_half_filled_form_is_taken_up_again_as_on_the_screens() -> None:
    book, log, clock, build = ready()
    kept = Kept()
    lines_of(book, ["build sheet", "radiator 240"], clock, kept=kept, build=build)
    before = len(log.entries())
    told, _ = lines_of(book, ["build sheet", ""], clock, kept=kept, build=build)
    assert any(line.startswith("1 answer taken up again") for line in told), told
    assert [one.payload.KIND for one in log.entries()[before:]] == ["part added"]


def test_while_a_sweep_is_read_live_a_level_is_told_as_it_is_stored(tmp_path: Path) -> None:
    _, book, tree, reader, build = live_flow(tmp_path)
    told: list[str] = []
    session = Session(book, job().stages(), told.append, kept=KeptUnsent(None), board=reader.read)
    session.open(build)
    session.take("fan headers")
    for line in ("live", "", "fan1", ""):
        session.ask()
        session.take(line) if line else tree.set(100)
        session.look_round()
    session.take("")
    for _ in range(20):
        session.look_round()
    assert any(re.match("stored: .*100 %", line) for line in told), told


def test_lines_through_a_pipe_end_at_the_first_that_is_refused_and_load_no_textual(tmp_path: Path) -> None:
    program = (
        "import sys; from commission.__main__ import job; from commission.shell.main import exit_status\n"
        "status = exit_status(['--plain'], job())\n"
        "sys.exit(status if not {'textual', 'rich'} & set(sys.modules) else 99)"
    )
    quick = "quick North 1.2 L digital 1 mbar 0.4 bar max 0.8 bar"
    lines, logbook = ("Ada", quick, *HOLD, "", "", "", "1", "400", "much", "399"), tmp_path / "bench.logbook"
    ran = subprocess.run(
        [sys.executable, "-c", program],
        input="\n".join(lines),
        env=environment(logbook),
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )
    assert ran.returncode == 2, ran.stderr
    assert "stored: the hold runs, gauge 400 mbar" in ran.stdout
    assert "1 line behind it was not taken" in ran.stdout
    assert called("--plain", "North", text="400\n", logbook=logbook).status == 0
    assert called("show", "North", "--entries", logbook=logbook).out.count("reading taken: gauge 400") == 2
