"""The owner's cautions: four are answered, the others stand beside the handing over, and the papers have all."""

from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import When
from commission.report.parts import owners_cautions
from commission.stages.handover.card.handover import HandoverFlow
from tests.answers import read
from tests.cautions_shown import MOST, gone_through
from tests.handovers import finished

TO_THE_OWNER = {
    "owner_damp", "owner_top_up", "owner_hot", "owner_poison", "owner_supply", "owner_settings", "owner_moving",
}  # fmt: skip
"""As many as when all of them were asked."""
TOLD = read("handover", When.FOR_THE_OWNER)


def test_four_of_the_owners_cautions_are_asked_the_others_shown_and_none_is_lost() -> None:
    book, clock, build = finished()
    shown, rows = gone_through(HandoverFlow(book, build), ["two seals; bottle can", "24 months", *TOLD], clock)
    assert [len(row) for row in rows] == [MOST]
    assert shown["hand over"] == {"owner_top_up", "owner_settings", "owner_moving"}
    assert rows[0] | shown["hand over"] == TO_THE_OWNER
    section = next(iter(owners_cautions(load_procedure(default_toml()))))
    assert len(section.tables[0].rows) == len(TO_THE_OWNER)
