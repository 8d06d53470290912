"""What a soak's verdict tells beside its own readings: another soak, a limit, a coolant."""

from commission.base.quantity import Amount, Phrase, Quantity
from commission.base.text import braced
from commission.stages.thermal_soak.judge.reasons import degrees

NO_COMPONENT = Phrase("no_component", "No component was read: nothing says how warm a chip gets.")


def read_before(other: str, *, said: bool) -> Phrase:
    """Say that the readings are those of an earlier soak; whether that was said to be right."""
    end = ", said to be right." if said else ": they prove nothing of the machine as it is now. Soak it and read."
    return Phrase("rows_seen_before", f"The very readings of {other}{end}")


def judged_as(name: str, most_k: float, source: str) -> Phrase:
    """Say that a component's name chose a limit above that of any component, and that it decided."""
    return Phrase("judged_as", f"The {braced(name)} is judged by a limit of {{0}} ({source}).", (degrees(most_k),))


def other_coolant(reckoned: str, held: str) -> Phrase:
    """Say that the heat is reckoned with another coolant than the record's."""
    return Phrase("other_coolant", f"Worked out for {reckoned}; by what was added it is {held}.")


def borrowed(own: int, other: int) -> Phrase:
    """Say that limits of another procedure count."""
    said = f"This build was opened under an earlier procedure, revision {own}, which has no limits for heat: "
    said += f"those of revision {other} count."
    return Phrase("limits_of_another_procedure", said)


def limit_raised(name: str, most_k: float, usual_k: float, source: str) -> Phrase:
    """Say that a component is judged by a limit above the procedure's own."""
    return Phrase(
        "limit_raised",
        f"The {braced(name)} is judged by a limit of {{0}}, above the {{1}} of the procedure: {braced(source)}.",
        (degrees(most_k), degrees(usual_k)),
    )


def failed_at(failed_w: float, load_w: float) -> Phrase:
    """Say that the soak before failed at more load."""
    return Phrase(
        "failed_at_more",
        "The soak before failed at {0}; this one ran at {1} only.",
        (Amount(Quantity.POWER, round(failed_w)), Amount(Quantity.POWER, round(load_w))),
    )


def failed_not_read(name: str, attempt: int) -> Phrase:
    """Say that a component that failed before was not read any more."""
    return Phrase(
        "failed_not_read", f"The {braced(name)} failed in attempt {attempt} and was not read in this one: read it too."
    )


def failed_at_less(name: str, attempt: int, failed_w: float, load_w: float | None) -> Phrase:
    """Say that a component that failed before was read at less load, or at one that nobody read."""
    failed = (Amount(Quantity.POWER, round(failed_w)),)
    if load_w is None:
        said = f"The {braced(name)} failed in attempt {attempt} at {{0}}; this load was not read: read it too."
        return Phrase("failed_at_less", said, failed)
    said = f"The {braced(name)} failed in attempt {attempt} at {{0}}; this one ran at {{1}}, and proves no more."
    return Phrase("failed_at_less", said, (*failed, Amount(Quantity.POWER, round(load_w))))


def failed_by_lower(name: str, attempt: int, then_k: float, now_k: float) -> Phrase:
    """Say that a component failed before, by a limit that was raised since."""
    return Phrase(
        "failed_by_lower_limit",
        f"The {braced(name)} failed in attempt {attempt} by its limit of {{0}}, which was raised to {{1}} since.",
        (degrees(then_k), degrees(now_k)),
    )
