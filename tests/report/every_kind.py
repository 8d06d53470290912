"""A report that tells an entry of every kind there is, with hostile text in each of its fields."""

from commission.base.text import clean
from commission.bench.listing import Listing
from commission.record.entry_text import entry_text
from commission.report.model import Report, Section, Told
from tests.every_kind import HOSTILE as ANY_TEXT
from tests.every_kind import hostile
from tests.registered import KINDS, REGISTRY


def every_kind_told() -> Report:
    """Return a report whose table tells an entry of every kind there is, hostile text in each of its fields."""
    kinds = sorted(KINDS.items())
    rows = tuple((str(n), kind, clean(entry_text(REGISTRY, hostile(cls)))) for n, (kind, cls) in enumerate(kinds, 1))
    assert len(rows) > 80
    table = Listing(caption="Every entry, in order", columns=("entry", "kind", "what"), rows=rows)
    facts = tuple(Told(name=kind, text=text) for _, kind, text in rows)
    return Report(
        number="a-1",
        draft=False,
        build=clean(ANY_TEXT),
        ready=True,
        stands="Every stage passed.",
        replaces="",
        stages=Listing(caption="Where", columns=("stage",), rows=()),
        sections=(Section(title="The record", facts=facts, tables=(table,)),),
        last="1",
    )
