"""A soak in figures and words, the same on its card and in ``show``, while it goes on and after."""

from collections.abc import Sequence

from commission.base.quantity import Quantity
from commission.base.text import counted
from commission.base.verdict import Bounded, Outcome
from commission.bench.card import Figure, raw
from commission.bench.figures import degrees, duration, forecast
from commission.stages.thermal_soak.model import (
    HotLook,
    PartLimit,
    SoakPicture,
    SoakRule,
    SoakVerdict,
    Steady,
    SteadyWord,
)
from commission.units.chosen import unit_for
from commission.units.lookup import find_unit
from commission.units.registry import scale
from commission.units.show import say, show

LEFT_OUT = ("load", "time constant")
"""Labels of the figures that a card has no room for."""
_HOUR = 3600.0


def figures_of(verdict: SoakVerdict) -> tuple[Figure, ...]:
    """Return the figures of a soak, the most important first."""
    rows = [_above(verdict), *_per_watt(verdict)]
    limits = {limit.name: limit for limit in verdict.limits}
    room = degrees(verdict.rule.warmest_air_k)
    for part in verdict.components:
        usual = PartLimit(name=part.name, most_k=verdict.rule.component_most_k)  # before limits were kept apart
        rows.append(
            Figure(
                label=f"{part.name} settles at",
                value=degrees(part.end.value),
                bounds=f"{_plain(part.end.lower95)} to {degrees(part.end.upper95)}",
                remark=f"in a room of {room}; {limit_said(limits.get(part.name, usual))}",
                raw=raw("K", part.end.value, part.end.lower95, part.end.upper95),
            )
        )
    rows += [*_heat(verdict), *_steady(verdict), *_level(verdict)]
    rows.append(
        Figure(
            label="readings",
            value=str(verdict.readings),
            bounds=f"over {duration(verdict.span_s)}",
            remark="" if verdict.counts_s >= verdict.span_s else f"{duration(verdict.counts_s)} since the last change",
        )
    )
    if verdict.time_constant_s is not None:
        rows.append(
            Figure(
                label="time constant",
                value=duration(verdict.time_constant_s),
                raw=raw("s", verdict.time_constant_s),
            )
        )
    return tuple(rows)


def limit_said(limit: PartLimit) -> str:
    """Return a limit of a component with where it stands."""
    return f"limit {degrees(limit.most_k)}" + (f", {limit.source}" if limit.source else "")


def joint_figures(joints: Sequence[str], looks: Sequence[HotLook]) -> tuple[Figure, ...]:
    """Return each joint that was looked at while the machine soaked: what paper showed, and when; then those left."""
    rows = []
    for joint in joints:
        seen = [look for look in looks if look.joint == joint]
        if seen:
            papers = ", ".join(f"{look.paper} after {duration(60 * round(look.elapsed_s / 60))}" for look in seen)
            rows.append(Figure(label=f"joint {joint}", value=counted(len(seen), "look"), remark=papers))
    left = [joint for joint in joints if joint not in {look.joint for look in looks}]
    if left:
        rows.append(Figure(label="hot joints", value=f"{len(left)} left", remark=", ".join(left)))
    return tuple(rows)


def on_card(verdict: SoakVerdict) -> tuple[Figure, ...]:
    """Return the figures that a card has room for."""
    return tuple(figure for figure in figures_of(verdict) if figure.label not in LEFT_OUT)


def kelvins(kelvin: float) -> str:
    """Return a difference of temperatures in tenths.

    >>> kelvins(9.96)
    '10.0 K'
    """
    return show(kelvin, Quantity.TEMPERATURE_DIFFERENCE, resolution=0.1)


def _plain(kelvin: float) -> str:
    return degrees(kelvin).rpartition(" ")[0]


def _bare(kelvin: float) -> str:
    return kelvins(kelvin).rpartition(" ")[0]


def per_watt(*k_per_w: float) -> str:
    """Return what a watt warms, or its bounds: in millikelvins, or in degrees Fahrenheit where these were chosen.

    >>> per_watt(0.0214, 0.0236)
    '21.4 to 23.6 mK/W'
    """
    unit = unit_for(Quantity.TEMPERATURE_DIFFERENCE)
    if unit is None:
        return f"{' to '.join(f'{1000 * one:.1f}' for one in k_per_w)} mK/W"
    chosen = find_unit(unit, Quantity.TEMPERATURE_DIFFERENCE)
    return f"{' to '.join(f'{one / scale(chosen)[0]:.4f}' for one in k_per_w)} {chosen.symbol}/W"


def _an_hour(k_s: float, u_k_s: float) -> str:
    """Return a rate of change with its 95 %, in tenths an hour."""
    unit = find_unit(unit_for(Quantity.TEMPERATURE_DIFFERENCE, "K") or "K", Quantity.TEMPERATURE_DIFFERENCE)
    one = _HOUR / scale(unit)[0]
    return f"{round(k_s * one, 1) + 0.0:+.1f} ± {2 * u_k_s * one:.1f} {unit.symbol}/h"


def _above(verdict: SoakVerdict) -> Figure:
    end, limit = verdict.end, kelvins(verdict.rule.above_air_k)
    if end is None:
        at_least = "" if verdict.least_end_k is None else f"at least {kelvins(verdict.least_end_k)}"
        return Figure(label="coolant above air", value="not bounded yet", bounds=at_least, remark=f"limit {limit}")
    stands = verdict.steady is not None and verdict.steady.word is SteadyWord.STEADY
    return Figure(
        label="coolant above air",
        value=kelvins(end.value),
        bounds=f"{_bare(end.lower95)} to {kelvins(end.upper95)}",
        remark=f"{'settled' if stands else 'forecast'}; limit {limit}",
        raw=raw("K", end.value, end.lower95, end.upper95),
    )


def _per_watt(verdict: SoakVerdict) -> tuple[Figure, ...]:
    found: Bounded | None = verdict.k_per_w
    if found is None:
        return ()
    by = "of load" if verdict.load_w else "of heat"
    return (
        Figure(
            label="per watt",
            value=per_watt(found.value),
            bounds=per_watt(found.lower95, found.upper95),
            remark=f"above air, per watt {by}",
            raw=raw("K/W", found.value, found.lower95, found.upper95),
        ),
    )


def _heat(verdict: SoakVerdict) -> tuple[Figure, ...]:
    rows = []
    if verdict.load_w is not None:
        rows.append(Figure(label="load", value=watts(verdict.load_w), raw=raw("W", verdict.load_w)))
    if verdict.heat_w is not None and verdict.u_heat_w is not None:
        half = 2 * verdict.u_heat_w
        rows.append(
            Figure(
                label="heat carried",
                value=watts(verdict.heat_w),
                bounds=f"± {watts(half)}",
                remark="95 %; by flow and both sides",
                raw=raw("W", verdict.heat_w, verdict.heat_w - half, verdict.heat_w + half),
            )
        )
    return tuple(rows)


def _level(verdict: SoakVerdict) -> tuple[Figure, ...]:
    if verdict.level is None:
        return ()
    missing = verdict.level.missing
    value, low, high = (_millilitres(one) for one in (missing.value, missing.lower95, missing.upper95))
    return (
        Figure(
            label="missing once cold",
            value=value,
            bounds=f"{low.rpartition(' ')[0]} to {high}",
            remark=f"of the level before; both at {degrees(verdict.level.before_k)}",
            raw=raw("m3", missing.value, missing.lower95, missing.upper95),
        ),
    )


def _millilitres(m3: float) -> str:
    return show(m3, Quantity.VOLUME, resolution=1e-7)


def watts(watt: float) -> str:
    """Return a power in whole watts."""
    return show(round(watt), Quantity.POWER)


def _steady(verdict: SoakVerdict) -> tuple[Figure, ...]:
    steady: Steady | None = verdict.steady
    if steady is None:
        return ()
    limit = show(verdict.rule.slope_k_s * _HOUR, Quantity.TEMPERATURE_DIFFERENCE, digits=3)
    return (
        Figure(
            label="stands still",
            value=str(steady.word),
            bounds=f"{_an_hour(steady.slope_k_s, steady.u_slope_k_s)} over {duration(steady.window_s)}",
            remark=f"needs {limit}/h over {forecast(steady.needed_s)}",
            raw=raw(
                "K/s",
                steady.slope_k_s,
                steady.slope_k_s - 2 * steady.u_slope_k_s,
                steady.slope_k_s + 2 * steady.u_slope_k_s,
            ),
        ),
    )


def missing_of(verdict: SoakVerdict) -> str:
    """Return what is still missing for a pass; empty where nothing is."""
    if verdict.outcome is Outcome.PASS:
        return ""
    return say(verdict.reasons[0]).rstrip(".")


def reasons_of(verdict: SoakVerdict) -> tuple[str, ...]:
    """Return the reasons in plain words, the one that decided first."""
    return tuple(map(say, verdict.reasons))


def counted_readings(number: int) -> str:
    """Return how many readings there are."""
    return counted(number, "reading")


def picture_said(picture: SoakPicture, rule: SoakRule) -> str:
    """Return in one line what a plot shows."""
    said = [f"{kelvins(picture.above_k[-1])} above air after {duration(picture.elapsed_s[-1])}"]
    if picture.fit_k and picture.fit_k[-1] > picture.above_k[-1]:
        said.append(f"heading past {kelvins(picture.fit_k[-1])}")
    if picture.counts_from_s > picture.elapsed_s[0]:
        said.append(f"counts from {duration(picture.counts_from_s)} on")
    return ", ".join([*said, f"limit {kelvins(rule.above_air_k)}"])
