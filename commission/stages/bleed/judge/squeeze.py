"""What squeezing a full loop tells of trapped air, and how much of it is only the tubes."""

from __future__ import annotations

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.verdict import Bounded
from commission.physics.loop_volume import Uncertain
from commission.physics.trapped_air import give_without_air, trapped_air
from commission.physics.water import saturation_pressure
from commission.stages.bleed.judge.reasons import volume
from commission.stages.bleed.model import SqueezeCheck, SqueezeResult
from commission.statistics.conformity import guard_band

WAIT_S = 120.0
"""Time after which the gas has the temperature of the coolant again [s]; our choice: several time constants of a
bubble in a liquid that stands around it."""
SWAMPED = 0.5
"""Where the tubes explain more than this share of the fall, they say more than the air does [1]; our choice: more
than half is the tubes' say."""


def evaluate_squeeze(check: SqueezeCheck) -> SqueezeResult:
    """Work out the trapped air from a small change of pressure.

    Returns
    -------
    SqueezeResult
        Trapped air with its one-sided bounds, and what it proves; information, not a verdict [SI].

    Raises
    ------
    ValueError
        If a pressure is not above that of the vapour, nothing changed, or the level moved against the pressure.

    Notes
    -----
    A headspace that is meant to be there is taken off with its own uncertainty. Soft tubes creep for hours and their
    stretch can swamp the air; where it does, this says so.

    Source: ``physics.trapped_air``; JCGM 100:2008, 5.1.2.

    Examples
    --------
    Hand calculation: 6.0 mL from 101.325 to 131.325 kPa with rigid tubes, dry: 26.3 mL; moist bubbles 25.8 mL.

    >>> check = SqueezeCheck(first_pa=101_325, u_first_pa=0, second_pa=131_325, u_second_pa=0, fall_m3=6e-6,
    ...     u_fall_m3=0, compliance_m3_pa=0, u_compliance_m3_pa=0, liquid_m3=0, liquid_k=293.15, waited_s=180)
    >>> f"{evaluate_squeeze(check).air.value * 1e6:.1f} mL"
    '25.8 mL'
    """
    all_air = trapped_air(
        Uncertain(check.fall_m3, check.u_fall_m3),
        Uncertain(check.first_pa, check.u_first_pa),
        Uncertain(check.second_pa, check.u_second_pa),
        compliance_m3_pa=Uncertain(check.compliance_m3_pa, check.u_compliance_m3_pa),
        liquid_m3=check.liquid_m3,
        vapour_pa=saturation_pressure(check.liquid_k),
    )
    value = all_air.value - check.headspace_m3
    width = guard_band((all_air.u**2 + check.u_headspace_m3**2) ** 0.5)
    air = Bounded(value=value, lower95=value - width, upper95=value + width)
    walls = give_without_air(check.compliance_m3_pa, check.liquid_m3) * (check.second_pa - check.first_pa)
    return SqueezeResult(air=air, walls_m3=walls, reasons=_reasons(check, air, walls))


def _reasons(check: SqueezeCheck, air: Bounded, walls: float) -> tuple[Phrase, ...]:
    said = []
    if air.lower95 > 0:
        said.append(
            Phrase(
                "air_is_trapped",
                "About {0} of air are trapped, at least {1}, at most {2}.",
                (volume(air.value), volume(air.lower95), volume(air.upper95)),
            )
        )
    else:
        said.append(
            Phrase(
                "cannot_tell_trapped_air",
                "Can't tell whether air is trapped: {0}, at most {1}.",
                (volume(air.value), volume(max(air.upper95, 0.0))),
            )
        )
    if abs(walls) > SWAMPED * abs(check.fall_m3):
        said.append(
            Phrase(
                "tubes_swamp_air",
                "The stretch of the tubes alone explains {0} of the {1}: in soft tubes this check says little.",
                (volume(abs(walls)), volume(abs(check.fall_m3))),
            )
        )
    if check.waited_s < WAIT_S:
        said.append(
            Phrase(
                "read_too_soon",
                "The level was read {0} after the change: wait {1}, or up to 1.4 times as much air seems less.",
                (Amount(Quantity.DURATION, check.waited_s), Amount(Quantity.DURATION, WAIT_S)),
            )
        )
    return tuple(said)
