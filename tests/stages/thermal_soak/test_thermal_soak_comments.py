"""Free comment lines of a table are a note of the build; one that tells of a leak is refused, and the table with it."""

from pathlib import Path

import pytest

from commission.base.errors import NotAllowed
from commission.bench.at_hand import StageAtHand
from commission.procedure.model import When
from commission.stages.thermal_soak.card.deeds import feed_deed
from commission.stages.thermal_soak.model import SoakPlan
from commission.stages.thermal_soak.state import SoakState
from commission.stages.thermal_soak.work.soaks import Soaks
from tests.handovers import finished
from tests.shell.running import called
from tests.wet_builds import answer

TABLE = "# {0}\nelapsed [s],warm [degC],air [degC],component cpu [degC],load [W]\n0,22.5,22,30,400\n60,24.1,22,55,400\n"


def test_a_comment_stays_as_a_note_and_one_about_a_leak_is_refused_with_its_table(tmp_path: Path) -> None:
    book, clock, build = finished()
    work = book.work(Soaks)
    answer(book, build, work, When.BEFORE_SOAK)
    file, behind = tmp_path / "soak.csv", "; ".join(["quiet"] * 300)
    file.write_text(TABLE.format(f"{behind}; coolant drips from the pump"), encoding="utf-8")
    with pytest.raises(NotAllowed):  # a soak that only begins with the table is not begun
        feed_deed(StageAtHand(book, build, work), str(file), lambda deed, _: deed, begins=True)
    work.start(build, SoakPlan())
    clock.run(600)
    hand = StageAtHand(book, build, work)
    before = book.head()
    says = r'line 1 of "soak.csv", the comment "quiet; .*, says "drips". .* take that line out or word it otherwise'
    with pytest.raises(NotAllowed, match=says):
        feed_deed(hand, str(file), lambda deed, _: deed).done()
    assert book.head() == before
    file.write_text(TABLE.format("ambient: damp"), encoding="utf-8")
    told = feed_deed(hand, str(file), lambda deed, _: deed).told
    assert '; 1 comment line kept as a note; line 1 says "damp": if something leaks, type leak' in told
    file.write_text(TABLE.format("side panel off"), encoding="utf-8")
    deed = feed_deed(hand, str(file), lambda deed, _: deed)
    assert deed.told.endswith("; 1 comment line kept as a note")
    deed.done()
    state = book.build(build)
    assert state.notes[-1].endswith("soak.csv: side panel off")
    assert len(state.of(SoakState).readings) == 2


def test_where_nothing_is_recorded_comments_are_told_as_not_judged(tmp_path: Path) -> None:
    file = tmp_path / "soak.csv"
    file.write_text(TABLE.format("side panel off"), encoding="utf-8")
    assert 'remark: 1 comment line not judged, the last: "side panel off"' in called("judge", "soak", str(file)).lines
