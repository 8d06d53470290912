"""A fill in figures and words, the same while pouring and after."""

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.bench.card import Figure
from commission.bench.figures import basis, pressure
from commission.stages.fill.model.fill import FillVerdict, HeadspaceReport
from commission.units.show import say, show

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.stages.fill.lines.at_hand import CoolantAtHand
    from commission.stages.fill.model.coolant import Bottle

_ALREADY_A_FIGURE = ("plain_water", "mixture", "fraction_beyond_data")
"""Reasons that only repeat figures."""


def figures_of(verdict: FillVerdict, headspace: HeadspaceReport | None, hot_k: float) -> tuple[Figure, ...]:
    """Return the figures of a fill, the most important first."""
    rows = [
        Figure(
            label="in so far",
            value=litres(verdict.filled_m3),
            bounds=_double(verdict.filled_m3, verdict.u_filled_m3),
            remark=f"{_count(verdict.movements)}, at {show(verdict.reference_k, Quantity.TEMPERATURE)}",
        )
    ]
    if verdict.expected_m3 is not None and verdict.u_expected_m3 is not None:
        rows.append(
            Figure(
                label="expected",
                value=litres(verdict.expected_m3),
                bounds=_double(verdict.expected_m3, verdict.u_expected_m3),
                remark=basis(verdict.basis),
            )
        )
    if verdict.missing is not None:
        low, high = (show(m3, Quantity.VOLUME, digits=3) for m3 in (verdict.missing.lower95, verdict.missing.upper95))
        share = show(verdict.filled_share or 0.0, Quantity.RATIO, digits=2)
        rows.append(
            Figure(
                label="still to come",
                value=show(verdict.missing.value, Quantity.VOLUME, digits=3),
                bounds=f"{low} to {high}",
                remark=f"{share} filled",
            )
        )
    return (*rows, *coolant_figures(verdict), *headspace_figures(headspace, hot_k))


def litres(m3: float) -> str:
    """Return a volume as it is shown among the figures."""
    return show(m3, Quantity.VOLUME)


def _double(m3: float, u_m3: float) -> str:
    unit = "L" if abs(m3) >= 1e-3 else "mL"
    return f"± {show(2 * u_m3, Quantity.VOLUME, unit=unit, digits=2)} (95 %)"


def _count(movements: int) -> str:
    return "1 amount" if movements == 1 else f"{movements} amounts"


def coolant_figures(verdict: FillVerdict) -> tuple[Figure, ...]:
    """Return what is in the loop: coolant, freezing point, density."""
    coolant = verdict.coolant
    if coolant.base is None:
        return ()
    fraction = coolant.mass_fraction
    value = str(coolant.base)
    bounds = f"{show(fraction, Quantity.RATIO, digits=3)} by mass" if fraction else coolant.product
    freezing = "not known" if verdict.freezing_k is None else show(verdict.freezing_k, Quantity.TEMPERATURE, digits=3)
    density = verdict.density_kg_m3
    told = "density not known" if density is None else f"density {show(density, Quantity.DENSITY, digits=4)}"
    return (
        Figure(
            label="coolant", value=value, bounds=bounds, remark=f"no fraction: {coolant.why}" if coolant.why else ""
        ),
        Figure(label="ice from", value=freezing, bounds=told),
    )


def headspace_figures(report: HeadspaceReport | None, hot_k: float) -> tuple[Figure, ...]:
    """Return the pressure of the closed loop when hot; a loop without air is an error in words, never a number."""
    if report is None:
        return ()
    hot = show(hot_k, Quantity.TEMPERATURE)
    if report.gauge_pa is None:
        return (Figure(label=f"at {hot}", value="LIQUID-FULL", bounds="no pressure can be named: leave more air"),)
    limit = "" if report.limit_gauge_pa is None else f"weakest part {pressure(report.limit_gauge_pa)}"
    needed = "" if report.needed_m3 is None else f"needs {show(report.needed_m3, Quantity.VOLUME, digits=3)} of air"
    return (Figure(label=f"at {hot}", value=pressure(report.gauge_pa), bounds=limit, remark=needed),)


def notices_of(report: HeadspaceReport | None) -> tuple[str, ...]:
    """Return what is wrong with the air above the coolant."""
    if report is None or report.outcome == "pass":
        return ()
    return tuple(f"Warning: {say(phrase)}" for phrase in report.reasons)


def reasons_of(verdict: FillVerdict) -> tuple[str, ...]:
    """Return the reasons in plain words, the one that decided first; those that only repeat figures left out."""
    first, *rest = verdict.reasons
    return (say(first), *(say(phrase) for phrase in rest if phrase.code not in _ALREADY_A_FIGURE))


def bottles_left(hand: "CoolantAtHand", bottles: "Sequence[Bottle]") -> tuple[Figure, ...]:
    """Return a row for each bottle with what is left in it by the book."""
    in_hand = hand.bottle
    return tuple(
        Figure(
            label=f"in {one.name}",
            value="nothing" if hand.left_m3(one) < 0.5e-6 else litres(hand.left_m3(one)),
            bounds="left, in hand" if in_hand is not None and one.bottle_id == in_hand.bottle_id else "left",
        )
        for one in bottles
    )
