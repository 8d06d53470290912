"""The cautions of a hold for a command line, with this loop's energy, rating and pressure in them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.physics.stored_energy import PCC2_ATMOSPHERE_PA, stored_energy
from commission.record.machine.loop import rating_text
from commission.shell.shown import shown
from commission.stages.pressure_hold.work.holds import OF_A_HOLD
from commission.units.worded import worded

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.procedure.model import Stage
    from commission.record.machine.parts import Part
    from commission.stages.pressure_hold.entries import HoldPlan

FALL_OF_1_KG_J = 9.80665
"""Energy of one kilogram that falls one metre [J] (standard gravity, 3rd CGPM 1901)."""


def caution_lines(stage: Stage, parts: Sequence[Part], plan: HoldPlan) -> Iterator[str]:
    """Yield each caution of a hold, as one line."""
    energy = stored_energy(PCC2_ATMOSPHERE_PA + plan.target_gauge_pa, plan.volume_m3)
    words = {
        "{energy}": f"{shown(energy, Quantity.ENERGY)}, as 1 kg that falls {energy / FALL_OF_1_KG_J:.2g} m",
        "{rating}": rating_text(parts),
        "{pressure}": shown(plan.target_gauge_pa, Quantity.GAUGE_PRESSURE),
    }
    for caution in (one for when in OF_A_HOLD for one in stage.cautions_at(when)):
        text = worded(caution.text)
        for place, word in words.items():
            text = text.replace(place, word)
        yield f"caution: {text}"
