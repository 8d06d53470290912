"""The cautions of the first power-on: few are asked before a rung, the others shown on it, and none is lost."""

from commission.stages.first_power.card.first_power import FirstPowerFlow
from tests.answers import POWER
from tests.cautions_shown import MOST, gone_through
from tests.stages.first_power.screen.power_bench import JOINTS, PLUG, filled

OF_A_FIRST_POWER = {
    "mains_out", "electrician", "own_pin_map", "dry_hands", "electrostatics", "rings_and_probes", "bridge_to_start",
    "everything_else_out", "never_dry", "hand_at_the_switch", "blades",
}  # fmt: skip
"""As many as when all of them were asked."""
LINES = (*POWER, "Larkspur 850 ATX3", "none", PLUG, "", "", "", JOINTS, "", "")
"""From the first caution over the supply, its voltages and the joints to the pump that runs."""


def test_the_first_power_on_asks_few_cautions_a_rung_and_shows_each_other_at_its_moment_and_loses_none() -> None:
    book, _, clock, build = filled()
    flow = FirstPowerFlow(book, build)
    shown, rows = gone_through(flow, LINES, clock)
    for _ in range(3):
        clock.run(601)
        gone_through(flow, ["all dry"], clock)
    later, more = gone_through(flow, ["off", "steady quiet", "ready", ""], clock)
    assert [len(row) for row in (*rows, *more)] == [MOST, 2, 2]
    assert set().union(*rows, *more, *shown.values(), *later.values()) == OF_A_FIRST_POWER
    at = {frozenset(ids): key for key, ids in {**shown, **later}.items()}
    assert set(at) == {frozenset(), frozenset({"own_pin_map"}), frozenset({"bridge_to_start"}), frozenset({"blades"})}
