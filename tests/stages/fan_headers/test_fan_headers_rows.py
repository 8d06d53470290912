"""Headers, sweeps and duties are put into words once: what a card says of them stands in ``show`` too."""

from commission.bench.card import Figure
from commission.record.logbook import Logbook
from commission.stages.fan_headers.card.headers import HeadersFlow
from commission.stages.fan_headers.rows.listings import headers_listings
from commission.stages.fan_headers.rows.show_headers import headers_lines
from tests.stages.fan_headers.screen.headers_bench import DOWN_AND_UP, SWEEPING, plugged
from tests.stages.said_once import lines_of, unsaid
from tests.ui.bench import led


def lines(book: Logbook, build: str) -> list[str]:
    return lines_of(headers_lines(book, book.build(build)))


def test_a_sweep_is_said_the_same_on_its_card_and_in_show() -> None:
    """1497 rpm at 100 %, as typed; 2 rpm apart at start and end."""
    flow, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP, "")
    figures = flow.card().figures
    assert {"at 100 %", "speed range", "keep at least", "up/down gap"} == {figure.label for figure in figures}
    assert list(unsaid(figures, lines(book, build), "sweep 1")) == []


def test_every_duty_of_a_sweep_is_listed_with_the_speed_that_the_verdict_rests_on() -> None:
    """Eleven speeds were typed, one a duty: down to 548 rpm at 30 %, up again to 1496."""
    _, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP, "")
    *_, sweeps = headers_listings(book, book.build(build))
    assert sweeps.columns == ("sweep", "chain", "duty", "way", "readings", "median")
    assert [row[-1] for row in sweeps.rows] == [f"{rpm} rpm" for rpm in DOWN_AND_UP]
    assert [row[1:5] for row in sweeps.rows][5:7] == [("front", "30 %", "down", "1"), ("front", "40 %", "up", "1")]


def test_the_board_is_said_the_same_on_its_card_and_in_show() -> None:
    _, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP, "")
    again = HeadersFlow(book, build)
    loose = [figure for figure in again.card().figures if figure.label == "on no header"]
    headers = [figure for figure in again.card().figures if figure.label != "on no header"]
    assert headers
    assert loose
    assert "front controlled" in headers[0].remark
    assert list(unsaid(headers, lines(book, build), "header")) == []
    short = [Figure(label=figure.label, value=figure.value) for figure in loose]  # a card adds what it would draw
    assert all(any(line.startswith(f"{one.line()}; ") for line in lines(book, build)) for one in short)


def test_duties_are_said_the_same_on_their_card_and_in_show() -> None:
    flow, book, _, build = plugged(*SWEEPING, *DOWN_AND_UP, "")
    led(flow, ["leave front 45 640", "duties"])
    figures = flow.card().figures
    assert [figure.value for figure in figures if figure.label == "front"] == ["45 %"]
    assert list(unsaid(figures, lines(book, build), "duty")) == []
