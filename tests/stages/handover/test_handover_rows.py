"""Handover and years are put into words once, what is due is told to programs, and typed lines are read.

Outside: jsonschema, an implementation of JSON Schema draft 2020-12; the calendar of the standard library.
"""

import json
import os
from datetime import UTC, datetime
from pathlib import Path

import jsonschema
import pytest

from commission.base.clock import ClockMark
from commission.base.errors import InputError
from commission.bench.needs import need_of
from commission.procedure.model import When
from commission.record.logbook import Logbook
from commission.stages.every import STAGES
from commission.stages.fill.typed.life import read_life
from commission.stages.handover.card.handover import HandoverFlow
from commission.stages.handover.model import ServiceItem
from commission.stages.handover.rows.charts import handover_charts
from commission.stages.handover.rows.due_json import DueAnswer, due_line, due_told
from commission.stages.handover.rows.show import handover_lines
from commission.stages.handover.typed.handed import read_handed
from commission.stages.handover.typed.spares import read_spares, read_within
from commission.stages.handover.work.handovers import Handovers
from tests.fakes import HandClock, built_once
from tests.handovers import DAY_S, OWNER, finished, handed, soak_again, visited
from tests.json_schema import schema_of
from tests.shell.running import called
from tests.stages.said_once import lines_of, unsaid
from tests.wet_builds import answer, poured

SCHEMA = schema_of(DueAnswer, "What commission due --json prints")


@built_once
def served() -> tuple[Logbook, HandClock, str]:
    """Return a build with a year of visits: 4 to 9 mL each, a look each time, a soak at the end."""
    book, clock, build = visited()
    work = book.work(Handovers)
    for number, ml in enumerate((3.0, 9.0, 9.3, 8.8)):
        if number:
            clock.run(91 * DAY_S)
            work.begin_visit(build, "service")
            answer(book, build, work, When.BEFORE_SERVICE)
        work.top_up(build, poured(ml))
        work.done(build, ServiceItem.LOOK, "all dry")
        if number == 3:
            soak_again(book, clock, build, end_k=10.3)
        work.hand_over(build)
    return book, clock, build


def test_the_card_and_show_say_the_same_and_the_years_are_told_in_sentences() -> None:
    """30.1 mL over 303 days of 30.4375 to a month are 3.02 mL a month; 10.3 K for 10.0 K at one load are +3 %."""
    book, _, build = served()
    facts = list(handover_lines(book, book.build(build)))
    lines = lines_of(facts)
    figures = HandoverFlow(book, build).content().figures
    assert {"to", "look", "coolant lost", "per watt", "coolant age"} <= {figure.label for figure in figures}
    assert list(unsaid(figures, facts, "handover")) == []
    assert "handover reason: Losing 3.0 mL a month, steady." in lines
    assert any(line.startswith("handover reason: Coolant above air per watt is too uncertain") for line in lines)
    assert any("thermal soak 2" in line or "soak ended: attempt 2: pass" in line for line in lines)
    assert sum(", topped up on a visit: " in line for line in lines) == 4
    assert any("of can on 2026-" in line for line in lines if line.startswith("handover coolant age"))
    (chart,) = handover_charts(book, book.build(build))
    assert chart.lines[0].y == pytest.approx((0.0, 3.0, 12.0, 21.3, 30.1))
    assert list(handover_lines(book, book.build(book.open_build("Another")))) == []


def test_the_list_of_builds_tells_what_the_handover_needs_and_what_is_due() -> None:
    book, clock, build = finished()
    assert need_of(book, STAGES, book.build(build)).next == "spare parts named"
    book.work(Handovers).name_spares(build, (), "")
    assert need_of(book, STAGES, book.build(build)).next == "its owner named"
    book, clock, build = handed()
    day = datetime.fromtimestamp(clock.wall_ms / 1000 + 30 * DAY_S, UTC)
    assert need_of(book, STAGES, book.build(build)).next == f"{day:%Y-%m-%d}: look"
    clock.run(31 * DAY_S)
    assert need_of(book, STAGES, book.build(build)).next == "overdue: look"


def test_what_is_due_on_every_machine_fits_its_schema() -> None:
    """First look after 30 days, cleaning after 180, our choices; 33 days later they are 3 days ago and 147 ahead."""
    book, clock, build = handed()
    clock.run(33 * DAY_S)
    told = due_told(book, 160 * DAY_S)
    jsonschema.Draft202012Validator(SCHEMA).validate(json.loads(json.dumps(_plain(told))))
    assert [(one.item, one.days_left) for one in told.due] == [(ServiceItem.LOOK, -3), (ServiceItem.CLEANING, 147)]
    assert due_line(told.due[0]).endswith(f", OVERDUE by 3 days; {OWNER} has it")
    assert len(due_told(book, None).due) == 4
    book.put_away(build)  # out of a list on the screen, not out of use
    assert len(due_told(book, None).due) == 4


def test_days_are_those_of_the_calendar() -> None:
    """Handed over in the afternoon: the next morning the look after 30 days, our choice, is 29 dates ahead."""
    book, clock, _ = handed()
    clock.run(16 * 3600)
    (look, *_) = due_told(book, None).due
    assert (datetime.fromisoformat(look.due).date() - datetime.fromisoformat(look.since).date()).days == 30
    assert look.days_left == 29


def _plain(answer: DueAnswer) -> object:
    from commission.bench.json_line import json_line

    return json.loads(json_line(answer))


def test_the_schema_file_is_what_the_types_say() -> None:
    file = Path(__file__).parents[3] / "schemas" / "due.schema.json"
    text = json.dumps(SCHEMA, indent=2, ensure_ascii=False) + "\n"
    if os.environ.get("UPDATE_SCHEMAS") == "1":
        file.write_text(text, encoding="utf-8")
    assert file.read_text(encoding="utf-8") == text, "run pytest once with UPDATE_SCHEMAS=1 and look at the difference"


def test_the_command_tells_by_its_status_whether_something_is_due(tmp_path: Path) -> None:
    logbook = tmp_path / "log"
    assert called("operator", "Kim", logbook=logbook).status == 0
    nothing = called("due", logbook=logbook)
    assert (nothing.status, nothing.lines) == (0, ["due: nothing"])
    assert json.loads(called("due", "--within", "30d", "--json", logbook=logbook).out) == {
        "due": [], "within_s": 30 * DAY_S,
    }  # fmt: skip
    assert called("due", "--within", "soon", logbook=logbook).status == 2


def test_typed_lines_are_read_and_refused() -> None:
    now = ClockMark(wall_ms=round(datetime(2026, 3, 14, 15, tzinfo=UTC).timestamp() * 1000), offset_min=60, mono_ms=0)
    named = read_spares("Two seals, a fan; bottle: red can")
    assert (named.spares, named.bottle) == (("Two seals", "a fan"), "red can")
    assert read_spares("bottle none").bottle == ""
    assert read_life("1.5 years") == (1.5 * 365.25 * DAY_S, "1.5 years")
    assert read_within("3 months") == 3 * 365.25 * DAY_S / 12
    assert read_handed("Mara Lind on 2026-03-14", now).observed_ms is None
    noon = read_handed("Mara Lind on 2026-03-01", now).observed_ms
    assert noon == datetime(2026, 3, 1, 11, tzinfo=UTC).timestamp() * 1000  # noon at one hour before UTC
    at_three = datetime(2026, 3, 1, 2, tzinfo=UTC).timestamp() * 1000  # 03:00 at one hour before UTC
    for text in ("to Mara Lind on 2026-03-01 03:00", "Mara Lind 2026-03-01T03:00", "Mara Lind, on 2026-03-01 at 03:00"):
        assert (read_handed(text, now).to, read_handed(text, now).observed_ms) == ("Mara Lind", at_three)
    assert read_handed("Mara Lind 2026-03-01", now).observed_ms == noon
    assert read_handed("to Mara Lind 2nd", now).to == "Mara Lind 2nd"
    for text in ("To Lan", "Tom at Unit 7", "Studio 54"):
        assert read_handed(text, now).to == text
    for read, text, why in (
        (read_spares, " ", "or none"),
        (read_life, "long", "no length of time"),
        (read_within, "9" * 400 + " months", "longer than 100 years"),  # too large for a float, and so for JSON
        (lambda typed: read_handed(typed, now), "Mara on 2026-03-15", "after today"),
        (lambda typed: read_handed(typed, now), "Mara on 2026-13-15", "is no day"),
        (lambda typed: read_handed(typed, now), "", "to whom"),
        (lambda typed: read_handed(typed, now), "to", "to whom"),
        (lambda typed: read_handed(typed, now), "Mara on 2026-03-14 23:00", "lies ahead"),
        (lambda typed: read_handed(typed, now), "Mara 14:30", "holds a day or a time"),
        (lambda typed: read_handed(typed, now), "Mara on 2026-03-01 03:00 03:10", "holds a day or a time"),
        (lambda typed: read_handed(typed, now), "Mara, 1.3.2026", "holds a day or a time"),
        (read_life, "24", "of what"),
        (read_within, "30", "of what"),
    ):
        with pytest.raises(InputError, match=why):
            read(text)
