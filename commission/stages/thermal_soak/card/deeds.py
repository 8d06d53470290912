"""What a typed line of a soak does: begins it, stores a reading, or those of a file."""

from commission.bench.at_hand import StageAtHand
from commission.bench.deed import Deed
from commission.bench.named_file import named_file
from commission.stages.thermal_soak.rows.figures import counted_readings
from commission.stages.thermal_soak.text import plan_text, reading_text
from commission.stages.thermal_soak.typed.plan import read_plan
from commission.stages.thermal_soak.typed.reading import read_reading
from commission.stages.thermal_soak.work import Soaks


def begin_deed(hand: StageAtHand[Soaks], text: str) -> Deed:
    """Return what beginning a soak with this coolant does; raises where it is none."""
    plan = read_plan(text)

    def do() -> str:
        hand.work.start(hand.build_id, plan)
        hand.again = False
        return "the soak has begun: put the load on"

    return Deed(told=f"the soak begins now: {plan_text(plan)}", do=do)


def read_deed(hand: StageAtHand[Soaks], text: str) -> Deed:
    """Return what storing a reading does; raises where it cannot be understood or does not fit."""
    state = hand.work.begun(hand.build_id)
    reading = read_reading(text, hand.work.elapsed_s(state))
    hand.work.refuse(state, (reading,))
    told = reading_text(reading)

    def do() -> str:
        entry = hand.work.read(hand.build_id, (reading,))
        return f"entry {entry.seq} · {told}"

    return Deed(told=told, do=do)


def feed_deed(hand: StageAtHand[Soaks], text: str, columns: str = "") -> Deed:
    """Return what storing the readings of a file does; raises where it cannot be read or does not fit."""
    from commission.stages.thermal_soak.files.soak_csv import read_soak

    state = hand.work.begun(hand.build_id)
    path = named_file(text, "a table of a soak's readings")
    readings = read_soak(path, columns).readings
    hand.work.refuse(state, readings)
    told = f"{counted_readings(len(readings))} from {path.name}"

    def do() -> str:
        entry = hand.work.read(hand.build_id, readings, file=path.name)
        return f"entry {entry.seq} · {told}"

    return Deed(told=told, do=do)
