"""``commission amount``: what goes into a loop and out of it, one amount at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from commission.base.errors import InputError
from commission.base.frozen import Frozen, replace
from commission.procedure.stage_ids import BLEED, FILL
from commission.shell.console import tell
from commission.shell.recording import recording, records
from commission.shell.renamed import renamed
from commission.stages.fill.model.fill import Drain, Pour
from commission.stages.fill.shell.pour_dose import temperature_of, typed_amount
from commission.stages.fill.work.fills import OF_A_FILL, Fills, takes_out

if TYPE_CHECKING:
    from typing import Any

    from commission.record.logbook import Logbook
    from commission.shell.recording import Recording
    from commission.stages.fill.at_hand import CoolantAtHand
    from commission.stages.fill.model.coolant import Bottle
    from commission.stages.fill.model.fill import Movement, TypedAmount

OUT = {"spill": "spill", "drain": "drain", "syringe": "draw", "evaporated": "lost"}
"""Options that name what leaves the loop, and what the record calls it."""


class Asked(Frozen):
    """What moves, and how it was measured."""

    typed: TypedAmount
    """The amount as typed."""
    what: str
    """``pour``, ``spill``, ``drain``, ``draw`` or ``lost``."""
    bottle: str | None
    """Name of the bottle; None where none was typed."""
    note: str
    """What the builder added."""
    into: str
    """Where drained coolant went; empty where nobody said."""


@records("BUILD", later="at")
@click.argument("typed", metavar="[AMOUNT]", required=False)
@click.option("--weighed", nargs=2, metavar="BEFORE AFTER", help="Weights of the bottle before and after.")
@click.option("--marks", nargs=2, metavar="BEFORE AFTER", help="Marks on the bottle before and after.")
@click.option("--bottle", metavar="NAME", help="Which bottle; may be left out where there is one.")
@click.option("--temp", metavar="TEMP", help="Temperature of what is added, such as 22 degC.")
@click.option("--spill", is_flag=True, help="It was spilled: with --bottle beside the filler, or --from-filler.")
@click.option("--from-filler", is_flag=True, help="With --spill: it ran out of the open filler of the loop.")
@click.option("--drain", is_flag=True, help="It was let out of the loop on purpose.")
@click.option("--into", metavar="PLACE", default="", help="With --drain: the bottle it went back into, or where else.")
@click.option("--syringe", is_flag=True, help="It was taken out with a syringe.")
@click.option("--evaporated", is_flag=True, help="Water alone left the loop.")
@click.option("--estimated", is_flag=True, help="The amount is only estimated; spills and evaporated water always are.")
@click.option("--note", default="", help="What else is worth knowing.")
@renamed("--level", "--marks", takes=2)
@renamed("--draw", "--syringe", takes=0)
@renamed("--lost-water", "--evaporated", takes=0)
@renamed("--about", "--estimated", takes=0)
def amount(
    build: str,
    typed: str | None,
    weighed: tuple[str, str] | None,
    marks: tuple[str, str] | None,
    temp: str | None,
    *,
    as_json: bool,
    **more: Any,
) -> None:
    """Record what was added to a loop, or what came out of it.

    AMOUNT is a volume or a weight, with its half-width where it is known: "250 mL", "250 mL +- 5 mL", "653.4 g". A
    weight needs the liquid's temperature for its density. The line is shown back as it was understood, then stored; a
    wrong one is withdrawn with "commission withdraw". Cautions are printed and the record says so.

    \b
    Example:
      commission amount "Desk loop" "250 mL" --bottle "red can" --temp "22 degC"
      commission amount "Desk loop" --weighed "1184.6 g" "531.2 g" --bottle can
      commission amount "Desk loop" "20 mL" --spill --from-filler
      commission amount "Desk loop" "600 mL" --drain --into "red can"
    """
    named = [out for out in OUT if more[out]]
    if len(named) > 1:
        raise InputError("one amount moves one way; type only one of --spill, --drain, --syringe and --evaporated")
    what = OUT[named[0]] if named else "pour"
    read = typed_amount(typed, weighed, marks, temp, estimated=more["estimated"] or what in ("spill", "lost"))
    if len(read.values) > 1 and what != "pour" and not (what == "spill" and more["bottle"]):
        raise InputError("two readings of a bottle tell what left that bottle; type the AMOUNT that left the loop")
    if more["into"] and what != "drain":
        raise InputError("--into goes with --drain: where the coolant went that was let out of the loop")
    _refuse_drip(what, from_filler=more["from_filler"], beside=more["bottle"] is not None)
    into = " ".join(more["into"].split())
    asked = Asked(typed=read, what=what, bottle=more["bottle"], note=more["note"].strip(), into=into)
    with recording(build, as_json=as_json) as job:
        _record(job, asked)


def _refuse_drip(what: str, *, from_filler: bool, beside: bool) -> None:
    """Refuse a spill of which nobody said that it came from the bottle or the open filler: it may be a leak."""
    if from_filler and (what != "spill" or beside):
        raise InputError("--from-filler goes with --spill alone; what was spilled beside the filler names its --bottle")
    if what == "spill" and not (from_filler or beside):
        raise InputError(
            "where from? --bottle NAME: beside the filler; --from-filler: out of the open loop. What left the loop by "
            'itself is a leak: commission defect BUILD leak "a drop every minute" --where JOINT'
        )


def _record(job: Recording, asked: Asked) -> None:
    """Show a movement back, store it, and say what is in the loop then."""
    from commission.stages.fill.at_hand import CoolantAtHand
    from commission.stages.fill.rows.bottle import bottle_row
    from commission.stages.fill.rows.figures import added_row
    from commission.stages.fill.text import movement_text
    from commission.stages.fill.typed.moves import move_deed

    book, build_id = job.book, job.build_id
    state = book.work(Fills).known(build_id)
    if asked.what not in ("drain", "draw"):
        book.work(Fills).unlocked(build_id)
    hand = CoolantAtHand(book, build_id, book.work(Fills))
    movement, assumed = _movement(hand, asked)
    book.work(Fills).check(build_id, movement)
    stage = BLEED if state.run(BLEED).running else FILL
    told = movement_text(movement)
    if stage == FILL and not takes_out(movement):
        job.print_cautions(hand, *OF_A_FILL)
    if assumed:
        tell(f"assumed: {assumed}")
    job.do(move_deed(hand, movement, told, stage=stage), understood=told)
    job.say(added_row(book.work(Fills).verdict(book.build(build_id))).of("fill").line())
    if isinstance(movement, Pour):
        job.say(bottle_row(book, movement.bottle).of("bottle").line())


def _movement(hand: CoolantAtHand, asked: Asked) -> tuple[Movement, str]:
    """Return what moves, and what had to be assumed of its temperature.

    Raises
    ------
    CommissionError
        If the bottle is not known, the amount makes no sense, or nothing is in the loop.
    """
    from commission.stages.fill.typed.moves import into_named, movement_of

    at_k, assumed = temperature_of(asked.typed, hand)
    bottle = None
    if asked.what == "pour" or (asked.what == "spill" and asked.bottle is not None):
        bottle = _bottle(hand.book, asked.bottle)
    elif asked.bottle is not None:
        raise InputError("what leaves the loop comes from no bottle; leave --bottle out")
    movement = movement_of(hand, asked.what, asked.typed, at_k, bottle=bottle, note=asked.note)
    if isinstance(movement, Drain):
        movement = replace(movement, into=into_named(hand, asked.into))
    return movement, assumed


def _bottle(book: Logbook, name: str | None) -> Bottle:
    """Return the bottle of a name, or the only one."""
    if name is not None:
        return book.work(Fills).find_bottle(name)
    bottles = book.work(Fills).bottles
    if len(bottles) == 1:
        return bottles[0]
    if not bottles:
        raise InputError('no bottle is described yet; "commission bottle add" describes one')
    names = ", ".join(f'"{one.name}"' for one in bottles)
    raise InputError(f"from which bottle? type --bottle and one of {names}")
