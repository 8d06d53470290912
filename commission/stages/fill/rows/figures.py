"""A fill in figures and words, the same on its card and in `show`, while pouring and after."""

from commission.base.quantity import Quantity
from commission.base.text import counted
from commission.bench.card import Figure, raw, raw_within
from commission.bench.figures import basis, degrees, millilitres, millilitres_between, millilitres_good_to, pressure
from commission.physics.loop_volume import Uncertain
from commission.stages.fill.model.fill import FillPicture, FillVerdict, HeadspaceReport
from commission.units.show import say, show

_ALREADY_A_FIGURE = ("plain_water", "mixture", "fraction_beyond_data")
"""Reasons that only repeat figures."""


def figures_of(verdict: FillVerdict, headspace: HeadspaceReport | None, hot_k: float) -> tuple[Figure, ...]:
    """Return the figures of a fill, the most important first."""
    return (
        added_row(verdict),
        *expected_rows(verdict),
        *_missing_rows(verdict),
        *coolant_figures(verdict),
        *headspace_figures(headspace, hot_k),
    )


def added_row(verdict: FillVerdict) -> Figure:
    """Return what is in the loop as logged."""
    value, good_to = millilitres_good_to(verdict.filled_m3, verdict.u_filled_m3)
    return Figure(
        label="added",
        value=value,
        bounds=f"{good_to} (95 %)",
        remark=f"{counted(verdict.movements, 'amount')}, at {show(verdict.reference_k, Quantity.TEMPERATURE)}",
        raw=raw_within("m3", verdict.filled_m3, verdict.u_filled_m3),
    )


def expected_rows(verdict: FillVerdict) -> tuple[Figure, ...]:
    """Return what the loop should take; nothing where nobody knows."""
    if verdict.expected_m3 is None or verdict.u_expected_m3 is None:
        return ()
    value, good_to = millilitres_good_to(verdict.expected_m3, verdict.u_expected_m3)
    return (
        Figure(
            label="expected",
            value=value,
            bounds=f"{good_to} (95 %)",
            remark=basis(verdict.basis),
            raw=raw_within("m3", verdict.expected_m3, verdict.u_expected_m3),
        ),
    )


def air_row(air: Uncertain) -> Figure:
    """Return the air above the level, by which less is expected than the loop holds."""
    value, good_to = millilitres_good_to(air.value, air.u)
    remark = "by the last level; taken off the loop's volume"
    return Figure(
        label="air space",
        value=value,
        bounds=f"{good_to} (95 %)",
        remark=remark,
        raw=raw_within("m3", air.value, air.u),
    )


def _missing_rows(verdict: FillVerdict) -> tuple[Figure, ...]:
    missing = verdict.missing
    if missing is None:
        return ()
    share = show(verdict.filled_share or 0.0, Quantity.RATIO, digits=2)
    return (
        Figure(
            label="still to add",
            value=millilitres(missing.value, missing.lower95, missing.upper95),
            bounds=millilitres_between(missing.lower95, missing.upper95, missing.value),
            remark=f"{share} filled",
            raw=raw("m3", missing.value, missing.lower95, missing.upper95),
        ),
    )


def coolant_figures(verdict: FillVerdict) -> tuple[Figure, ...]:
    """Return what is in the loop: coolant, freezing point, density."""
    coolant = verdict.coolant
    if coolant.base is None:
        return ()
    fraction = coolant.mass_fraction
    value = str(coolant.base)
    bounds = f"{show(fraction, Quantity.RATIO, digits=3)} by mass" if fraction else coolant.product
    density = verdict.density_kg_m3
    told = "density not known" if density is None else f"density {show(density, Quantity.DENSITY, digits=4)}"
    return (
        Figure(
            label="coolant", value=value, bounds=bounds, remark=f"no fraction: {coolant.why}" if coolant.why else ""
        ),
        Figure(label="freezes below", value=degrees(verdict.freezing_k), bounds=told, raw=raw("K", verdict.freezing_k)),
    )


HOT = "hot pressure"
"""Label of the pressure of the closed loop when it is hot."""


def headspace_figures(report: HeadspaceReport | None, hot_k: float) -> tuple[Figure, ...]:
    """Return the pressure of the closed loop when hot; a loop without air is an error in words, never a number."""
    if report is None:
        return ()
    hot = show(hot_k, Quantity.TEMPERATURE)
    if report.gauge_pa is None:
        return (Figure(label=HOT, value="NO AIR SPACE", bounds=f"at {hot}: no pressure can be named, leave more air"),)
    limit = "" if report.limit_gauge_pa is None else f"; weakest part {pressure(report.limit_gauge_pa)}"
    needed = "" if report.needed_m3 is None else f"needs {millilitres(report.needed_m3)} of air"
    return (
        Figure(
            label=HOT,
            value=pressure(report.gauge_pa, digits=3),
            bounds=f"at {hot}{limit}",
            remark=needed,
            raw=raw("Pa", report.gauge_pa),
        ),
    )


def notices_of(report: HeadspaceReport | None) -> tuple[str, ...]:
    """Return what is wrong with the air above the coolant."""
    if report is None or report.outcome == "pass":
        return ()
    return tuple(f"Warning: {reason}" for reason in headspace_reasons(report))


def headspace_reasons(report: HeadspaceReport) -> tuple[str, ...]:
    """Return why the air above the coolant is enough or not."""
    return tuple(say(phrase) for phrase in report.reasons)


def reasons_of(verdict: FillVerdict) -> tuple[str, ...]:
    """Return the reasons in plain words, the one that decided first; those that only repeat figures left out."""
    first, *rest = verdict.reasons
    return (say(first), *(say(phrase) for phrase in rest if phrase.code not in _ALREADY_A_FIGURE))


def picture_said(picture: FillPicture) -> str:
    """Return in one line where the total stands to what the loop should take."""
    total, low, high = picture.total_m3[-1], picture.low_m3, picture.high_m3
    said = f"{millilitres(total)} in after {counted(len(picture.total_m3), 'amount')}"
    if low is None or high is None:
        return said
    where = "inside" if low <= total <= high else "below" if total < low else "above"
    return f"{said}, {where} the expected {millilitres_between(low, high)}"
