"""What is asked after something went wrong, question by question, and what is written down at the end."""

import pytest

from commission.base.errors import InputError
from commission.bench.mishap.first_aid import FIRST_AID
from commission.bench.mishap.flow import MishapFlow
from commission.bench.mishap.told import Told
from commission.bench.taken_as import typed_before
from commission.record.entries import FindingCured
from commission.record.logbook import Logbook
from commission.record.mishap import Mishap, WentWrong
from commission.record.mishaps import Mishaps
from tests.fakes import ListLog, new_book
from tests.wet_builds import filled_build


def _filled() -> tuple[Logbook, ListLog, str]:
    book, log, clock = new_book()
    return book, log, filled_build(book, clock, name="North tower")


def _led(flow: MishapFlow, *lines: str) -> None:
    for line in lines:
        prompt = flow.question().prompt
        text = line or prompt.proposal
        assert text is not None, prompt.ask
        flow.answer(text)


STORIES: dict[str, tuple[str, list[str], WentWrong]] = {
    "leak": (
        "leak",
        ["", "lower port", "drips", "no"],
        WentWrong(mishap_id="", what=Mishap.LEAK, where="lower port", seen="drips"),
    ),
    "spill from the bottle": (
        "spill",
        ["done", "bottle", "bench", "a puddle", "no", "?"],
        WentWrong(mishap_id="", what=Mishap.SPILL, where="bench", seen="a puddle", from_bottle=True),
    ),
    "spill out of the filler": (
        "spill",
        ["", "filler", "board", "ran over it", "yes", "?"],
        WentWrong(mishap_id="", what=Mishap.SPILL, where="board", seen="ran over it", on_electronics=True),
    ),
    "a spill that is a leak": (
        "spill",
        ["", "joint", "drain", "runs", "no"],
        WentWrong(mishap_id="", what=Mishap.LEAK, where="drain", seen="runs"),
    ),
    "smoke": (
        "smoke",
        ["off", "supply", "a smell"],
        WentWrong(mishap_id="", what=Mishap.SMOKE, where="supply", seen="a smell"),
    ),
    "help": (
        "help",
        ["burst", "", "top cap", "a bang", "no"],
        WentWrong(mishap_id="", what=Mishap.BURST, where="top cap", seen="a bang"),
    ),
}


@pytest.mark.parametrize("story", STORIES)
def test_a_story_is_asked_in_order_and_stored_once_at_its_end(story: str) -> None:
    book, log, build = _filled()
    word, lines, wanted = STORIES[story]
    flow = MishapFlow(book, Told(what=word, build_id=build))
    head = log.head()
    _led(flow, *lines[:-1])
    assert (log.head(), flow.over) == (head, False)
    _led(flow, lines[-1])
    assert flow.over
    (noted,) = [one.payload for one in book.entries(build) if isinstance(one.payload, WentWrong)]
    assert noted == WentWrong(
        mishap_id=noted.mishap_id,
        what=wanted.what,
        where=wanted.where,
        seen=wanted.seen,
        from_bottle=wanted.from_bottle,
        on_electronics=wanted.on_electronics,
    )
    assert flow.said.startswith(f"entry {log.head().seq}, {wanted.what}")


def test_what_it_undoes_is_said_at_the_end() -> None:
    book, _, build = _filled()
    flow = MishapFlow(book, Told(what="leak", build_id=build))
    _led(flow, "", "port", "drips", "no")
    assert "pressure hold stale, fill locked" in flow.said


def test_esc_takes_the_answers_back_one_by_one() -> None:
    book, _, build = _filled()
    flow = MishapFlow(book, Told(what="help", build_id=build))
    _led(flow, "leak", "", "port")
    asked = []
    while flow.back():
        asked.append(flow.question().prompt.key)
    assert asked == ["mishap where", "mishap act", "mishap what"]


@pytest.mark.parametrize("word", FIRST_AID)
def test_first_aid_is_shown_and_nothing_is_stored(word: str) -> None:
    book, log, build = _filled()
    head = log.head()
    flow = MishapFlow(book, Told(what="help", build_id=build))
    _led(flow, word)
    assert flow.aid is FIRST_AID[word]
    _led(flow, "")
    assert (flow.over, flow.said, log.head()) == (True, "", head)


def test_without_a_build_the_card_comes_first_and_then_the_build_is_asked() -> None:
    book, _, build = _filled()
    book.open_build("Low shelf")
    flow = MishapFlow(book, Told(what="smoke"), near="Low shelf")
    _led(flow, "")
    prompt = flow.question().prompt
    assert (prompt.ask, prompt.proposal) == ("Which build was it?", "Low shelf")
    _led(flow, "north", "supply", "a smell")
    assert isinstance(book.entries(build)[-1].payload, WentWrong)


def test_where_there_is_no_build_the_card_is_still_shown() -> None:
    book, _, _ = new_book()
    flow = MishapFlow(book, Told(what="leak"))
    assert flow.aid is not None
    _led(flow, "", "")
    assert flow.over


def test_a_window_that_only_reads_shows_the_card_and_says_why_it_stores_nothing() -> None:
    book, log, build = _filled()
    log.read_only_because = "another window writes (process 12)"
    flow = MishapFlow(book, Told(what="leak", build_id=build))
    _led(flow, "")
    assert "another window writes" in flow.question().prompt.ask
    _led(flow, "")
    assert (flow.over, flow.said) == (True, "")


@pytest.mark.parametrize(
    ("lines", "wrong", "why"),
    [
        ([], "lower port", "type done"),
        ([""], "tea", "no source"),
        (["", "bottle", "bench", "x"], "perhaps", "yes or no"),
        (["", "bottle", "bench"], "no", "what was seen is asked"),
        (["", "bottle", "bench", "x", "no"], "5 bar", "volume"),
        (["", "bottle", "bench", "x", "no"], "0 mL", "0 mL"),
    ],
)
def test_what_is_no_answer_is_refused_and_asked_again(lines: list[str], wrong: str, why: str) -> None:
    book, log, build = _filled()
    flow = MishapFlow(book, Told(what="spill", build_id=build))
    _led(flow, *lines)
    head, asked = log.head(), flow.question().prompt.key
    with pytest.raises(InputError, match=why):
        flow.answer(wrong)
    assert (log.head(), flow.question().prompt.key) == (head, asked)


def test_a_repair_is_told_for_the_defect_that_is_meant() -> None:
    book, _, build = _filled()
    assert "No defect is open" in MishapFlow(book, Told(what="repaired", build_id=build)).question().prompt.ask
    for what, where in ((Mishap.LEAK, "lower port"), (Mishap.SMOKE, "supply")):
        book.work(Mishaps).note(build, what, where=where, seen="seen")
    flow = MishapFlow(book, Told(what="repaired", build_id=build))
    _led(flow, "2", "another supply")
    state = book.build(build)
    assert [(one.wrong.what, one.cure) for one in state.findings if one.wrong is not None] == [
        (Mishap.LEAK, ""),
        (Mishap.SMOKE, "another supply"),
    ]
    flow = MishapFlow(book, Told(what="repaired", build_id=build))
    assert "leak, lower port" in flow.question().prompt.ask
    _led(flow, "new seal")
    assert book.build(build).open_findings == ()
    assert isinstance(book.entries(build)[-1].payload, FindingCured)


def test_a_repair_asks_the_build_first_where_none_is_open() -> None:
    book, _, build = _filled()
    book.open_build("Low shelf")
    book.work(Mishaps).note(build, Mishap.LEAK, where="lower port", seen="drips")
    flow = MishapFlow(book, Told(what="repaired"))
    assert flow.aid is None
    _led(flow, "North", "new seal")
    assert [one.cure for one in book.build(build).findings] == ["new seal"]


def test_a_number_names_no_build() -> None:
    """Our choice: no numbers stand there, and a burst must not be written down for a build that was not meant."""
    book, _, _ = _filled()
    book.open_build("Low shelf")
    flow = MishapFlow(book, Told(what="burst", acted=True))
    with pytest.raises(InputError, match='"2" is a number; type a name: Low shelf, North tower'):
        flow.answer("2")
    seven, _ = book.open_build("7"), book.open_build("Last")
    flow = MishapFlow(book, Told(what="burst", acted=True))
    flow.answer("7")
    _led(flow, "top cap", "a bang", "no")
    assert [one.wrong.what for one in book.build(seven).findings if one.wrong] == [Mishap.BURST]


def test_a_step_back_keeps_what_was_answered() -> None:
    book, _, build = _filled()
    flow = MishapFlow(book, Told(what="burst", build_id=build))
    _led(flow, "", "pump", "o-ring out")
    assert flow.back()
    assert flow.question().prompt.proposal == "o-ring out"
    _led(flow, "")
    assert flow.question().prompt.proposal != "o-ring out"
    assert (flow.back(), flow.back()) == (True, True)
    assert flow.question().prompt.proposal == "pump"
    _led(flow, "pump", "a bang", "no")
    assert [one.wrong.seen for one in book.build(build).findings if one.wrong] == ["a bang"]


@pytest.mark.parametrize(("text", "told"), [("2", "cannot be taken: "), ("low", "Enter takes it now")])
def test_a_line_that_comes_up_again_is_not_said_to_be_taken_where_it_is_refused(text: str, told: str) -> None:
    book, _, _ = _filled()
    book.open_build("Low shelf")
    prompt = MishapFlow(book, Told(what="burst", acted=True)).question().prompt
    assert told in typed_before(prompt, text, wet=False)
