"""The procedure that ships with the program, and what its loader refuses."""

import importlib
import pkgutil

import pytest

from commission.base.errors import FileError
from commission.base.pump_supply import PumpSupply
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import When
from commission.record.machine.instrument import InstrumentKind
from commission.record.machine.parts import Material, PartKind
from tests.answers import OF_A_HOLD
from tests.cautions_shown import MOST

SHOWN = {
    When.CONNECTING, When.PUMPING_UP, When.UNDER_PRESSURE, When.SEARCH, When.LAYING_OUT, When.POURING, When.LOOKING,
    When.BLEEDING, When.SQUEEZING, When.MEASURING_CABLES, When.SUPPLY_ALONE, When.FIRST_START, When.HANDING_OVER,
}  # fmt: skip
"""Moments at which cautions stand beside the question."""
DEFAULT = load_procedure(default_toml())
REVISION = f"revision = {DEFAULT.revision}"


def test_each_limit_caution_step_and_typical_value_names_its_source() -> None:
    sources = [part.source for part in DEFAULT.typical_parts]
    sources += [instrument.source for instrument in DEFAULT.typical_instruments]
    for stage in DEFAULT.stages:
        sources += [caution.source for caution in stage.cautions]
        sources += [step.source for step in stage.steps]
        sources += [limit.source for limit in stage.limits]
    assert len(sources) > 30
    assert all(len(source) > 4 for source in sources)


def test_each_rule_has_a_judge_and_each_stage_rests_on_an_earlier_one() -> None:
    seen: set[str] = set()
    for stage in DEFAULT.stages:
        folder = importlib.import_module(f"commission.stages.{stage.id}.judge")
        names = [each.name for each in pkgutil.iter_modules(folder.__path__)]
        judges = [importlib.import_module(f"{folder.__name__}.{name}") for name in names]
        assert [judge for judge in judges if callable(getattr(judge, f"evaluate_{stage.rule}", None))]
        assert set(stage.rests_on) <= seen
        seen.add(stage.id)


def test_names_within_a_stage_are_unique() -> None:
    for stage in DEFAULT.stages:
        for items in (stage.cautions, stage.steps, stage.limits):
            ids = [item.id for item in items]
            assert len(ids) == len(set(ids))


def test_typical_parts_and_instruments_use_the_known_words() -> None:
    for part in DEFAULT.typical_parts:
        PartKind(part.kind)
        assert [Material(material) for material in part.materials]
    for instrument in DEFAULT.typical_instruments:
        InstrumentKind(instrument.kind)
        assert instrument.low < instrument.high


def test_every_kind_of_part_has_a_typical_value() -> None:
    assert {part.kind for part in DEFAULT.typical_parts} == {str(kind) for kind in PartKind}


def test_the_hold_warns_of_what_hurts_people_before_it_is_pumped_up() -> None:
    stage = DEFAULT.stage("pressure_hold")
    asked = [one.id for one in stage.cautions_at(When.BEFORE_PRESSURE)]
    assert asked == ["stored_energy", "eye_protection", "regulator_relief", "empty_unpowered"]
    assert {one.id for one in stage.cautions if one.when is not When.SEARCH} == OF_A_HOLD


@pytest.mark.parametrize("stage", [stage.id for stage in DEFAULT.stages])
def test_at_most_four_cautions_are_asked_before_one_deed(stage: str) -> None:
    for when in set(When) - SHOWN:
        for supply in PumpSupply:
            assert len(DEFAULT.stage(stage).cautions_at(when, supply)) <= MOST


def test_what_is_shown_and_not_asked_neither_folds_nor_is_typed() -> None:
    shown = [one for stage in DEFAULT.stages for one in stage.cautions if one.when in SHOWN]
    assert {one.when for one in shown} == SHOWN
    assert not any(one.folds or one.state for one in shown)


def test_the_default_limit_is_the_watertight_class() -> None:
    # 1e-2 mbar·L/s of air (leak-test committee FAQ, second-hand) = 1e-3 Pa·m3/s exactly (1 Pa·m3/s = 10 mbar·L/s).
    assert DEFAULT.stage("pressure_hold").limit("leak_rate_pa_m3_s") == 1e-3


def test_half_a_bar_is_offered_as_test_pressure() -> None:
    # Trade fact (common practice, no source): 0.5 bar of air on an empty loop is a usual test pressure.
    assert DEFAULT.stage("pressure_hold").limit("target_gauge_pa") == 50_000


def test_models_are_frozen() -> None:
    with pytest.raises(AttributeError):
        DEFAULT.title = "changed"  # type: ignore[misc]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (REVISION, "revision = ", "no TOML"),
        (REVISION, "revision = 3.5", "no int"),
        (REVISION, "revision = true", "no int"),
        (REVISION, "", "missing"),
        (REVISION, REVISION + '\ncolour = "red"', "unknown key"),
        ("value = 50000", "value = 0.5", "outside"),
        ("value = 50000", "value = nan", "no float"),
        ("value = 50000", "value = inf", "no float"),
        ('when = "before pressure"', 'when = "whenever"', "none of"),
        ('source = "common practice, no source"', 'source = " "', "no str"),
        ("rests_on = []", "rests_on = 3", "list"),
        ("[stages.help]", "[stages.helf]", "unknown key"),
    ],
)
def test_a_procedure_that_does_not_fit_is_refused(old: str, new: str, message: str) -> None:
    text = default_toml()
    assert old in text
    with pytest.raises(FileError, match=message):
        load_procedure(text.replace(old, new, 1))
