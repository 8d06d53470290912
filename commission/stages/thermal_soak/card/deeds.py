"""What a typed line of a soak does: begins it, stores a reading, or those of a file."""

from commission.base.errors import InputError
from commission.base.text import clip
from commission.bench.all_dry import read_all_dry
from commission.bench.at_hand import StageAtHand
from commission.bench.deed import Deed, numbered
from commission.bench.doubt import AskAbout
from commission.bench.figures import degrees, duration
from commission.bench.joint_look import read_look
from commission.bench.named_file import named_file, read_as_kept, with_comments
from commission.record.machine.joints import Paper
from commission.stages.thermal_soak.rows.figures import counted_readings
from commission.stages.thermal_soak.state import SoakState, earlier_soaks
from commission.stages.thermal_soak.text import plan_text, reading_text
from commission.stages.thermal_soak.typed.limit import read_limit
from commission.stages.thermal_soak.typed.plan import read_plan
from commission.stages.thermal_soak.typed.reading import read_reading
from commission.stages.thermal_soak.work.refused import refuse_limit
from commission.stages.thermal_soak.work.soaks import JOINTS_HOT, Soaks

SAME_S = 60.0
"""So far may two times of one reading lie apart [s]; our choice: a time of day is typed to the minute."""


def begin_deed(hand: StageAtHand[Soaks], text: str) -> Deed:
    """Return what beginning a soak with this coolant does; raises where it is none."""
    plan = read_plan(text)

    def do() -> str:
        hand.work.start(hand.build_id, plan)
        hand.again = False
        return "the soak has begun"

    return Deed(told=f"the soak begins now: {plan_text(plan)}", do=do)


def read_deed(hand: StageAtHand[Soaks], text: str) -> Deed:
    """Return what storing a reading does; raises where it cannot be understood or does not fit."""
    state = hand.work.begun(hand.build_id)
    now_s = hand.work.elapsed_s(state, typed=True)
    reading = read_reading(text, now_s, [one.name for one in state.plugged.chains])
    if hand.book.past.at_ms is not None and abs(reading.elapsed_s - now_s) > SAME_S:
        raise InputError("when it was read stands there twice, by the clock and by after: leave one of them out")
    hand.work.refuse(state, (reading,))
    told = reading_text(reading)
    return numbered(told, lambda: hand.work.read(hand.build_id, (reading,)))


def limit_deed(hand: StageAtHand[Soaks], text: str) -> Deed:
    """Return what a limit of a component does; raises where it cannot be understood or does not fit."""
    name, most, source = read_limit(text)
    refuse_limit(name, most.si, source)
    told = f"{name}: at most {degrees(most.si)} in the warmest room, {source}"
    return numbered(told, lambda: hand.work.limit(hand.build_id, name, most, source))


def look_deed(hand: StageAtHand[Soaks], text: str) -> Deed:
    """Return what a look at hot joints does; ``all dry`` where only the word was typed.

    Raises
    ------
    CommissionError
        If it cannot be understood, or nothing says that the machine is hot.
    """
    known, kept = hand.work.joints(hand.state), hand.state.of(SoakState)
    if not known:
        told = "every joint touched with dry paper while hot: all dry"
        return hand.step_deed(JOINTS_HOT, read_all_dry(text), told=told)
    line = read_look(text or "all dry", known, ())
    hand.work.refuse_look(hand.state, line.paper)
    damp = ": wipe it dry and look again in some minutes" if line.paper is Paper.DAMP else ""
    wet = ": LOAD OFF, POWER OFF, mains plug out" if line.paper is Paper.WET else ""

    def do() -> str:
        entry = hand.work.look(hand.build_id, line.joints, line.paper, line.note)
        return f"entry {entry.seq} · {line.told}"

    calls = "leak" if wet else ""
    at = f" after {duration(hand.work.elapsed_s(hand.state, typed=True))}" if kept.readings else ""
    return Deed(
        told=f"{line.told}{at}{damp}{wet}", do=do, calls=calls, at=line.joints[0] if wet else "", seen=line.note
    )


def feed_deed(hand: StageAtHand[Soaks], text: str, ask: AskAbout, columns: str = "", *, begins: bool = False) -> Deed:
    """Return what storing the readings of a file does; raises where it cannot be read or does not fit.

    ``ask``: what becomes of it where an earlier soak had the very same readings. ``begins``: whether the soak is only
    begun when the deed is done: a file that is refused begins none.
    """
    from commission.stages.thermal_soak.files.soak_csv import read_soak
    from commission.stages.thermal_soak.judge.read_before import same_as

    state = hand.state if begins else hand.work.begun(hand.build_id)
    path = named_file(text, "a table of a soak's readings")
    kept = () if columns else hand.book.shop().instruments
    read = read_as_kept(kept, lambda named: read_soak(path, columns or named))
    readings = read.readings
    if begins:
        hand.work.refuse_unbegun(state, readings)
    else:
        hand.work.refuse(state, readings)
    told, other = f"{counted_readings(len(readings))} from {path.name}", same_as(readings, earlier_soaks(state))
    deed = numbered(told, lambda: hand.work.read(hand.build_id, readings, file=path.name, same_as=other))
    deed = with_comments(hand, deed, read.comments, path.name)
    return ask(deed, f"{clip(path.name)} has the very readings of {other}" if other else "")
