"""Describes one instrument: which one, its figures, and into the record."""

from commission.base.errors import InputError
from commission.base.frozen import replace
from commission.bench.ask import Question, asked_once, listed
from commission.bench.card import Figure
from commission.bench.deed import Deed
from commission.bench.figures import face_text, instrument_line, instrument_step, pressure, step_text
from commission.bench.instrument import typed as instrument_draft
from commission.bench.instrument.face_form import FaceForm, needs_face
from commission.bench.names import free_name
from commission.procedure.model import Stage, TypicalInstrument
from commission.record.logbook import Logbook
from commission.record.machine.instrument import GaugeFace, Instrument, InstrumentKind
from commission.record.machine.loop import gauge_warnings
from commission.units.show import say, show


class InstrumentForm:
    """A small form inside a flow; ``done`` once the instrument is stored."""

    def __init__(
        self,
        book: Logbook,
        stage: Stage,
        typical: tuple[TypicalInstrument, ...],
        *,
        kinds: tuple[InstrumentKind, ...] = tuple(InstrumentKind),
        target_gauge_pa: float | None = None,
        known: Instrument | None = None,
    ) -> None:
        self.book = book
        self.stage = stage
        self.typical = tuple(one for one in typical if one.kind in kinds)
        self.sought = "instrument" if kinds == tuple(InstrumentKind) else _sought(kinds)
        """What is asked for."""
        self.target = target_gauge_pa if target_gauge_pa is not None else stage.limit("target_gauge_pa")
        self.draft: Instrument | None = known
        self.known = known
        """The instrument that is described again; None for a new one."""
        self.touched: frozenset[str] = frozenset(instrument_draft.WORDS) if known is not None else frozenset()
        self.face: FaceForm | None = None
        self.stored: Instrument | None = None

    def question(self) -> Question:
        """Return what is asked now."""
        self._take_face()
        if self.draft is None:
            return self._which()
        return self._figures(self.draft) if self.face is None else self.face.question()

    def _take_face(self) -> None:
        """Take what was answered of the gauge's face into the draft."""
        if self.face is None:
            return
        self.draft = self.face.gauge
        if self.face.done:
            self.face = None
            self.touched |= {"face", "step"} if self.draft.face is GaugeFace.DIAL else {"face"}

    def figures(self) -> tuple[Figure, ...]:
        """Return what is known of the instrument so far."""
        self._take_face()
        if self.draft is None:
            return tuple(Figure(label=f"{n}", value=one.name) for n, one in enumerate(self.typical, 1))
        draft = self.draft
        low, high = (show(v, draft.quantity, unit=draft.unit, digits=5) for v in (draft.low, draft.high))
        rows = [
            ("name", draft.name),
            ("unit", draft.unit),
            ("step", instrument_step(draft)),
            ("accuracy", f"± {step_text(draft, draft.accuracy)}" if draft.accuracy else "not stated"),
            ("range", f"{low} to {high}"),
        ]
        if draft.face is not GaugeFace.UNKNOWN:
            rows.append(("face", f"{draft.face}{face_text(draft).removeprefix(', dial')}"))
        if draft.calibrated_on:
            rows.append(("calibrated", draft.calibrated_on))
        told = (("columns", draft.columns), ("port", draft.port), ("pattern", draft.pattern))
        rows += [(label, text) for label, text in told if text]
        free = ("name", "calibrated", "face", "columns", "port", "pattern")
        return tuple(
            Figure(
                label=label,
                value=value,
                remark="" if label in self.touched or label in free else "assumed, common practice",
            )
            for label, value in rows
        )

    def notices(self) -> tuple[str, ...]:
        """Return what is wrong with its range at the test pressure."""
        if self.draft is None:
            return ()
        ratio = self.stage.limit("gauge_range_ratio")
        found = gauge_warnings(self.draft, self.target, ratio)
        return tuple(f"Warning: {say(phrase)}" for phrase in found)

    def back(self) -> bool:
        """Go back to the choice; False where the form is at its start."""
        if self.face is not None and self.face.back():
            return True
        if self.known is not None:
            return False
        had, self.draft, self.touched, self.face = self.draft is not None, None, frozenset(), None
        return had

    def _which(self) -> Question:
        names = [one.name for one in self.typical]

        def deed(text: str) -> Deed:
            chosen = instrument_draft.from_typical(text, self.typical)
            return Deed(told=f"{chosen.name}: {instrument_line(chosen)}", do=lambda: self._begin(chosen))

        return asked_once(
            deed,
            key="instrument",
            ask=f"Which {self.sought}? Type its number or name.",
            hint=f"one of: {listed(names)}",
            proposal=names[0] if len(names) == 1 else None,
        )

    def _begin(self, chosen: Instrument) -> None:
        taken = frozenset(one.name for one in self.book.shop().instruments)
        self.draft = replace(chosen, name=free_name(chosen.name, taken))
        self.face = FaceForm(self.draft) if needs_face(self.draft) else None

    def _figures(self, draft: Instrument) -> Question:
        def deed(text: str) -> Deed:
            if text.strip().casefold() == "store":
                return Deed(told=f"store {draft.name}: {instrument_line(draft)}", do=lambda: self._store(draft))
            new = instrument_draft.changed(draft, text)
            word = text.split(maxsplit=1)[0].casefold().rstrip(":=")
            return Deed(told=f"{new.name}: {instrument_line(new)}", do=lambda: self._change(new, word))

        more = f"range 0 to {pressure(2e5, 'bar')}" if draft.kind is InstrumentKind.GAUGE else f"unit {draft.unit}"
        return asked_once(
            deed,
            key="instrument figures",
            ask=f"Are these {'usual figures' if self.known is None else 'figures'} right? Enter stores them; "
            "or change one a line.",
            hint=f"such as: step {instrument_step(draft)} · {more} · accuracy … · name bench {draft.kind}",
            proposal="store",
        )

    def _change(self, new: Instrument, word: str) -> None:
        self.draft = new
        self.touched |= {word}

    def _store(self, draft: Instrument) -> str:
        stored = replace(draft, instrument_id=self.known.instrument_id if self.known else self.book.new_id())
        if not stored.name.strip():
            raise InputError("the instrument needs a name; type name and what it is called")
        self.book.add_instrument(stored)
        self.stored = stored
        return f'{stored.kind} "{stored.name}"'


def _sought(kinds: tuple[InstrumentKind, ...]) -> str:
    """Return what is asked for where a plan lacks an instrument of some kinds."""
    return "pressure gauge" if InstrumentKind.GAUGE in kinds else str(kinds[0])
