"""What to do when it went wrong: for each case the first three actions, in order, and what comes after them."""

from commission.base.frozen import Frozen
from commission.record.mishap import Mishap

HURT = "Someone hurt, not breathing, not waking or in a fit: call the emergency number first."
"""Stands above every card. Source: common practice, no source."""

PLUG_OUT = (
    "Mains plug out if it and your hands are dry. Wet plug, strip or socket: do not touch it; breaker or RCD off first."
)
OUT_OF_REACH = "Breaker: dry hands, dry floor. Out of dry reach: stay away, call an electrician."
ELECTRICS = "Something electrical got wet: display, USB and network out too; wait until the standby light is out."
CLEANING = (
    "No power before it is clean. Coin cell and cards out. Rinse with distilled water until nothing is sticky.",
    "Then isopropyl alcohol, 90 % or more: aired room, no flame, no power, not on acrylic.",
    "Dry in air for 24 h, under sockets and big chips 48 h. Look with a lens.",
    "Meter 12 V, 5 V and 3.3 V to COM for shorts, unplugged.",
    "Coolant inside the supply: scrap it; never open it, never power it again.",
)


class Card(Frozen):
    """One case."""

    title: str
    """What happened, in a few words."""
    actions: tuple[str, str, str]
    """What to do first, in this order."""
    then: tuple[str, ...] = ()
    """What comes after that."""
    source: str = "common practice, no source"
    """Where it comes from."""


MISHAPS = {
    Mishap.LEAK: Card(
        title="LEAK",
        actions=(
            "Pump or machine off at the supply's switch, without shutting down. Stop pouring and close the filler.",
            PLUG_OUT,
            "Put a bowl under the joint. Drain until the level is below it; blot.",
        ),
        then=(
            OUT_OF_REACH,
            ELECTRICS,
            "Loop under air: hands off the joints; vent to 0 by the valve first.",
            "Then repair it, and back to the pressure hold.",
            *CLEANING,
        ),
        source="electrical-safety and utility pages (wet plug); common practice, no source",
    ),
    Mishap.SPILL: Card(
        title="SPILL",
        actions=(
            "Stop pouring and close the filler. A powered part got wet: switch off at the supply or breaker, without "
            "shutting down.",
            PLUG_OUT,
            "Tip it so that the coolant runs away from sockets and boards; blot.",
        ),
        then=(
            OUT_OF_REACH,
            ELECTRICS,
            *CLEANING,
        ),
        source="electrical-safety and utility pages (wet plug); common practice, no source (order, times)",
    ),
    Mishap.SMOKE: Card(
        title="SMOKE, SMELL OR BANG",
        actions=(
            "Switch off at the supply.",
            "Mains plug out if it and your hands are dry; breaker off if it burns. No water on it.",
            "Flames: everyone out, shut the door, call the fire service.",
        ),
        then=(OUT_OF_REACH, "Later: do not power anything again to see whether it still works."),
    ),
    Mishap.BURST: Card(
        title="HISS OR BURST UNDER PRESSURE",
        actions=(
            "Turn your face away and step back.",
            "Shut the source, from the side.",
            "Vent to 0 by the valve, never by a fitting. Eye protection stays on; count the parts, look for shards.",
        ),
        then=(
            "A gas bottle that hisses and cannot be shut: get out and air the room.",
            "The loop held coolant: pump off, plug out, bowl under it, as for a leak.",
        ),
    ),
}
"""What is written down afterwards."""
