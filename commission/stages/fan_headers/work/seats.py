"""Headers and chains in the log: what there is, and what sits where and since when."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from commission.base.errors import InputError, NotAllowed, UnknownName
from commission.base.frozen import replace
from commission.procedure.model import When
from commission.procedure.stage_ids import FAN_HEADERS
from commission.record.build_state import BuildState
from commission.record.logged import Logged
from commission.record.machine.seats import Chain, Drive, Header, StopCause
from commission.record.record import Record
from commission.record.stage_work import StageWork
from commission.stages.fan_headers.entries import (
    ChainAdded,
    ChainMoved,
    ChainRemoved,
    HeaderAdded,
    HeaderRemoved,
    HeaderSet,
)
from commission.stages.fan_headers.model.sheet import complaints_about_chain, complaints_about_header

if TYPE_CHECKING:
    from commission.record.machine.seat_check import SeatCheck


class Seats(StageWork):
    """Headers, chains and what sits where.

    All of it may be written down while the stage is still locked: the machine is plugged together before it first runs.
    """

    def __init__(self, book: Record) -> None:
        super().__init__(book, FAN_HEADERS, while_locked=True)

    def add_header(self, build_id: str, header: Header) -> Logged:
        """Record a header.

        Raises
        ------
        InputError
            If its figures contradict each other, or the label is taken.
        """
        state = self.known(build_id)
        if state.plugged.header(header.header_id) is not None:
            raise InputError(f'"{header.name}" has the id of another header; give it its own')
        _refuse(complaints_about_header(header, state.plugged.headers))
        return self.book.record(build_id, HeaderAdded(header=header))

    def set_header(
        self,
        build_id: str,
        header_id: str,
        *,
        set_to: Drive | None,
        full_speed_lock: bool,
        stops: Sequence[StopCause] = (),
        why: str = "",
    ) -> Logged:
        """Record that a header was set another way in the firmware.

        Raises
        ------
        UnknownName
            If there is no such header.
        InputError
            If it offers no such mode.
        NotAllowed
            If a pump sits on it and could be stopped then.
        """
        state = self.known(build_id)
        header = header_of(state, header_id)
        changed = replace(header, set_to=set_to, full_speed_lock=full_speed_lock, stops=tuple(stops))
        _refuse(complaints_about_header(changed, state.plugged.headers))
        on_it = state.plugged.on(header_id)
        if on_it:
            barred = [phrase for phrase in self._check(state, on_it, changed).blocked if phrase.code == "pump_can_stop"]
            if barred:
                raise NotAllowed(f"{barred[0].template} Set it back in the firmware, or move the pump first.")
        entry = HeaderSet(
            header_id=header_id, set_to=set_to, full_speed_lock=full_speed_lock, stops=tuple(stops), why=why
        )
        return self.book.record(build_id, entry)

    def remove_header(self, build_id: str, header_id: str, reason: str) -> Logged:
        """Record that a header is no longer there; what sat on it sits nowhere.

        Raises
        ------
        UnknownName
            If there is no such header.
        """
        header_of(self.known(build_id), header_id)
        return self.book.record(build_id, HeaderRemoved(header_id=header_id, reason=reason))

    def add_chain(self, build_id: str, chain: Chain) -> Logged:
        """Record a chain of fans, or a pump.

        Raises
        ------
        InputError
            If its figures contradict each other, the name is taken, or its cable reaches a header that is not there.
        """
        state = self.known(build_id)
        if state.plugged.chain(chain.chain_id) is not None:
            raise InputError(f'"{chain.name}" has the id of another chain; give it its own')
        labels = {header.name for header in state.plugged.headers}
        unknown = [reach.header for reach in chain.reach if reach.header not in labels]
        _refuse(
            (
                *complaints_about_chain(chain, state.plugged.chains),
                *(
                    f'there is no header "{name}" for its cable to reach; write the header down first'
                    for name in unknown
                ),
            )
        )
        return self.book.record(build_id, ChainAdded(chain=chain))

    def remove_chain(self, build_id: str, chain_id: str, reason: str) -> Logged:
        """Record that a chain was taken out.

        Raises
        ------
        UnknownName
            If there is no such chain.
        """
        chain_of(self.known(build_id), chain_id)
        return self.book.record(build_id, ChainRemoved(chain_id=chain_id, reason=reason))

    def check(self, state: BuildState, chain_id: str, header_id: str) -> "SeatCheck":
        """Return what stands against a chain on a header, with everything else that sits there.

        Raises
        ------
        UnknownName
            If there is no such chain or header.
        """
        chain, header = chain_of(state, chain_id), header_of(state, header_id)
        others = tuple(other for other in state.plugged.on(header_id) if other.chain_id != chain_id)
        return self._check(state, (*others, chain), header)

    def move(
        self,
        build_id: str,
        chain_id: str,
        header_id: str | None,
        why: str = "",
        *,
        override: str = "",
        found: bool = False,
    ) -> Logged:
        """Record that a chain was plugged in, re-plugged or unplugged.

        Parameters
        ----------
        build_id, chain_id
            Which chain.
        header_id
            On which header it sits from then on; None: on none.
        why
            Why, in the builder's words.
        override
            Why the share of the rating may be exceeded, or a guessed start current be above it; no current that labels
            tell is ever let above a rating.
        found
            Whether it was found so: then it is recorded against every rule, and the verdict stays blocked by what is
            wrong with it.

        Raises
        ------
        UnknownName
            If there is no such chain or header.
        NotAllowed
            If the cautions are unanswered, it sits there already, or a rule forbids it.
        """
        state = self.answered(build_id, When.BEFORE_PLUGGING)
        chain = chain_of(state, chain_id)
        now = state.plugged.seats().get(chain_id)
        if now == header_id:
            where = f"on {header_of(state, header_id).name}" if header_id else "on no header"
            raise NotAllowed(f'"{chain.name}" sits {where} already')
        codes: set[str] = set()
        if header_id is not None and not found:
            check = self.check(state, chain_id, header_id)
            _refuse_seat(check, override)
            codes = {phrase.code for phrase in check.may_override}
        moved = ChainMoved(
            chain_id=chain_id,
            header_id=header_id,
            why=why,
            start_overridden=override.strip() if "start_over" in codes else "",
            share_overridden=override.strip() if "steady_over" in codes else "",
            found=found,
        )
        return self.book.record(build_id, moved)

    def _check(self, state: BuildState, chains: Sequence[Chain], header: Header) -> "SeatCheck":
        from commission.record.machine.seat_check import check_seat

        stage = self.stage(state)
        percent, factor = round(stage.limit("steady_percent")), stage.limit("start_factor")
        return check_seat(chains, header, steady_percent=percent, start_factor=factor)


def _refuse(complaints: Sequence[str]) -> None:
    if complaints:
        raise InputError("; ".join(complaints))


def _refuse_seat(check: "SeatCheck", override: str) -> None:
    if check.blocked:
        raise NotAllowed(" ".join(phrase.template for phrase in check.blocked))
    if check.may_override and not override.strip():
        said = " ".join(phrase.template for phrase in check.may_override)
        raise NotAllowed(f"{said} It goes on only with a reason: override and why")


def chain_of(state: BuildState, chain_id: str) -> Chain:
    """Return a chain that is there.

    Raises
    ------
    UnknownName
        If there is no such chain; the message lists those that there are.
    """
    for chain in state.plugged.chains:
        if chain.chain_id == chain_id:
            return chain
    raise UnknownName(f"there is no such chain; there are: {', '.join(c.name for c in state.plugged.chains) or 'none'}")


def header_of(state: BuildState, header_id: str | None) -> Header:
    """Return a header that is there.

    Raises
    ------
    UnknownName
        If there is no such header; the message lists those that there are.
    """
    for header in state.plugged.headers:
        if header.header_id == header_id:
            return header
    raise UnknownName(
        f"there is no such header; there are: {', '.join(h.name for h in state.plugged.headers) or 'none'}"
    )
