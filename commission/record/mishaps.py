"""What went wrong, and what was done about any fault: recorded from every stage, since it may happen at any."""

from commission.base.errors import NotAllowed, UnknownName
from commission.base.quantity import Measured, Quantity
from commission.record.entries import FindingCured
from commission.record.logged import Logged
from commission.record.mishap import Mishap, WentWrong
from commission.record.record import Record
from commission.units.worded import worded

NOTHING_SPILT = "only coolant that was spilled comes from the bottle; leave that out"


class Mishaps:
    """Leaks, spills, smoke and bursts in the log, and the repair of every fault, whichever stage found it.

    Parameters
    ----------
    book
        The record.
    """

    def __init__(self, book: Record) -> None:
        self._book = book

    def note(
        self,
        build_id: str,
        what: Mishap,
        *,
        where: str,
        seen: str,
        from_bottle: bool = False,
        on_electronics: bool = False,
        amount: Measured | None = None,
    ) -> Logged:
        """Record that something went wrong; what it undoes is stale from then on.

        Raises
        ------
        NotAllowed
            If it is not said where it was or what was seen, or an amount is no volume above 0.
        """
        wrong = WentWrong(
            mishap_id=self._book.new_id(),
            what=what,
            where=where.strip(),
            seen=seen.strip(),
            from_bottle=from_bottle,
            on_electronics=on_electronics,
            amount=amount,
        )
        refuse_mishap(wrong)
        return self._book.record(build_id, wrong)

    def repaired(self, build_id: str, finding_id: str, done: str) -> Logged:
        """Record what was done about a fault; only the stage that is done again shows whether it worked.

        Raises
        ------
        UnknownName
            If there is no such fault.
        NotAllowed
            If nothing is said of what was done.
        """
        if all(one.raised.finding_id != finding_id for one in self._book.build(build_id).findings):
            raise UnknownName("there is no such defect; look at the list of defects")
        if not done.strip():
            raise NotAllowed("say what was done")
        return self._book.record(build_id, FindingCured(finding_id=finding_id, cure=done.strip()))


def refuse_mishap(wrong: WentWrong) -> None:
    """Raise NotAllowed where a mishap does not say enough, or contradicts itself."""
    if not wrong.where.strip():
        raise NotAllowed("it does not say where it was; name the part, joint or place")
    if not wrong.seen.strip():
        raise NotAllowed("it does not say what was seen")
    if wrong.from_bottle and wrong.what is not Mishap.SPILL:
        raise NotAllowed(NOTHING_SPILT)
    if wrong.amount is not None and (wrong.amount.quantity is not Quantity.VOLUME or wrong.amount.si <= 0):
        raise NotAllowed(worded("how much came out is a volume above 0, such as 5 mL; leave it out where nobody knows"))
