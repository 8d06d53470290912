"""What the cautions must say, what they must not say, and how long they may be.

The hazards and the words that stand for them follow the sources that each caution names: HSE, OSHA and ASME on
compressed gas, poison-centre pages on glycol, the ATX version 3 design guide on standby and PS_ON#, EPA on used
coolant. Where a caution says "common practice, no source", so does this list.
"""

import re
from pathlib import Path

import pytest

from commission.base.pump_supply import PumpSupply
from commission.procedure.load import default_toml, load_procedure
from commission.procedure.model import When

DEFAULT = load_procedure(default_toml())
TEXTS = {(stage.id, each.id): each for stage in DEFAULT.stages for each in stage.cautions}

HAZARDS = [
    ("pressure_hold", "stored_energy", "stores energy: {energy}", "thick towel", "arm's length"),
    ("pressure_hold", "eye_protection", "everyone in the room", "until the gauge shows zero"),
    ("pressure_hold", "weakest_part", "Never above the rating", "{rating}", "take the part out"),
    ("pressure_hold", "brittle_parts", "acrylic", "glass", "no air", "with water"),
    ("pressure_hold", "regulator_relief", "Hand pump", "at most a tenth above {pressure}", "workshop line"),
    ("pressure_hold", "never_oxygen", "Never oxygen", "fuel gas", "nitrogen only"),
    ("pressure_hold", "gas_bottle", "chained", "aired room", "get out"),
    ("pressure_hold", "empty_unpowered", "empty and dry", "unplugged at the computer", "UPS"),
    ("pressure_hold", "let_down", "Zero on the gauge before", "Open slowly", "never aim air"),
    ("pressure_hold", "local_rules", "local rules"),
    ("pressure_hold", "search_by_eye", "only look, listen", "bubbles", "eye protection", "No hand on a fitting"),
    ("pressure_hold", "shards", "Eye protection and gloves again", "cut"),
    ("fill", "mains_out", "before each pour", "mains plug out at the computer", "stays live"),
    ("fill", "residual_current", "30 mA RCD or GFCI", "test button", "mains only", "qualified electrician"),
    ("fill", "absorbent", "White paper under every joint", "Coolant inside the supply: never power it again"),
    ("fill", "eyes_and_gloves", "Eye protection, gloves", "data sheet", "15 minutes", "lenses out", "doctor"),
    ("fill", "glycol_is_poison", "sweet and deadly", "Children and pets out", "wipe every drop"),
    ("fill", "swallowed", "poison centre now", "emergency number first", "vet now"),
    ("fill", "no_food_vessels", "touches food again", "drinks bottle", "labelled bottle"),
    ("fill", "spill_plug_first", "close the filler", "mains plug out if it and your hands are dry"),
    ("fill", "wet_plug", "Wet plug, strip or socket: do not touch it", "breaker or RCD off first", "electrician"),
    ("fill", "wet_electronics", "no power", "distilled water", "48 under sockets", "meter for shorts"),
    ("fill", "pump_never_dry", "Never run the pump dry", "Inlet covered", "short bursts"),
    ("fill", "used_coolant", "soil, storm drain or septic tank", "children and pets", "local rules decide"),
    (
        "fill",
        "pump_on_its_own_supply",
        "own 12 V supply",
        "fused",
        "polarity metered",
        "above splash",
        "stays out throughout",
    ),
    (
        "fill",
        "pump_on_the_bridged_supply",
        "at the supply",
        "fitted unplugged",
        "only while the pump runs",
        "hands out",
    ),
    ("bleed", "pump_on_its_own_supply", "Only the pump's own supply is on", "stays out for the whole bleed"),
    ("bleed", "pump_on_the_bridged_supply", "only while the pump runs", "Plug out before you top up, tilt or touch"),
    ("bleed", "inlet_covered", "Stop the pump before you tilt", "inlet covered"),
    ("bleed", "stay_with_it", "Stay while the pump runs", "pull its plug"),
    ("bleed", "lift_with_care", "two hands", "two people", "Filler closed"),
    ("bleed", "never_squeeze_hard", "{rating}", "eye protection", "hand pump only"),
    ("first_power", "mains_out", "Mains plug out before you touch", "standby light is out"),
    ("first_power", "electrician", "Never open the supply", "coolant inside: never power it again", "local rules"),
    ("first_power", "own_pin_map", "this supply's own cables", "own pin map"),
    ("first_power", "dry_hands", "Dry hands", "no liquid above", "RCD tested", "switch within reach"),
    ("first_power", "electrostatics", "bare metal", "strap", "by their edges", "Strap off before the plug goes in"),
    ("first_power", "rings_and_probes", "Rings", "ampere jack", "never mains"),
    ("first_power", "bridge_to_start", "Plug out", "pins 16 and 17 of the 24-pin", "metered", "off before you move it"),
    ("first_power", "everything_else_out", "Only the pump", "unplugged at the supply"),
    ("first_power", "never_dry", "level above the pump's inlet", "soon ruined"),
    ("first_power", "hand_at_the_switch", "Hand on the supply's switch", "{seconds}", "off at once"),
    ("first_power", "blades", "Fingers, hair", "a still fan can start"),
    ("fan_headers", "unplug_to_replug", "Shut down", "plug out", "Never plug or unplug under power"),
    ("fan_headers", "never_beyond_the_rating", "its rating in the board's manual", "no over-current protection"),
    ("fan_headers", "pump_never_stops", "Nothing may stop the pump", "silent profile", "voltage mode"),
    ("fan_headers", "blades", "Fingers, hair", "a still fan can start"),
    ("fan_headers", "watch_temperatures", "Watch them", "set 100 % at once"),
    ("thermal_soak", "hot_parts", "hot enough to burn", "Touch nothing"),
    ("thermal_soak", "watch_while_hot", "Stay beside it", "dry paper", "load off, power off"),
    ("thermal_soak", "stop_when_it_climbs", "full duty at once", "load off", "pump never stops first"),
    ("handover", "owner_damp", "paper under the joints", "supply off", "mains plug out with dry hands", "builder"),
    ("handover", "owner_top_up", "Only", "bottle", "mains plug out", "cold", "Never mix"),
    ("handover", "owner_hot", "Never open the filler of a warm machine", "scalds", "pressure"),
    ("handover", "owner_poison", "children and pets", "poison centre now", "emergency number first"),
    ("handover", "owner_supply", "Never open the supply", "never power it again", "electrician", "local rules"),
    ("handover", "owner_settings", "silent profile", "fan stop can stop the pump", "shut down"),
    ("handover", "owner_moving", "unplugged", "upright", "two people", "damp"),
    ("handover", "service_off", "Shut down", "mains plug out at the computer", "standby light out"),
    ("handover", "service_cold", "below 40", "scalds", "slowly", "face aside"),
    ("handover", "service_drain", "Drain below a joint", "bowl", "Eye protection and gloves", "children and pets out"),
    ("handover", "service_coolant", "soil, storm drain or septic tank", "waste point", "local rules decide"),
    ("thermal_soak", "open_when_cold", "under pressure", "do not open the filler until it is cold"),
]
"""Each hazard, and words without which its caution says less than it must."""


@pytest.mark.parametrize(("stage", "id_", "words"), [(stage, id_, words) for stage, id_, *words in HAZARDS])
def test_no_hazard_is_lost(stage: str, id_: str, words: list[str]) -> None:
    text = TEXTS[stage, id_].text.casefold()
    assert not [word for word in words if word.casefold() not in text]


@pytest.mark.parametrize("which", TEXTS)
def test_a_caution_has_at_most_two_sentences_and_twenty_five_words(which: tuple[str, str]) -> None:
    # our choice, for somebody with wet hands who reads a second language: a longer one is not read to its end
    text = TEXTS[which].text
    assert len(text.split()) <= 25
    assert len(re.findall(r"[.](?=\s|$)", text)) <= 2


@pytest.mark.parametrize("stage", ["fill", "bleed"])
@pytest.mark.parametrize("way", list(PumpSupply))
def test_one_arrangement_of_the_pump_is_shown_and_never_both(stage: str, way: PumpSupply) -> None:
    """Two press guides use either way; a plug that is to stay out and to be in cannot both be obeyed."""
    whens = list(When)
    shown = [each for when in whens for each in DEFAULT.stage(stage).cautions_at(when, way)]
    assert [each.pump_supply for each in shown if each.pump_supply] == [way]
    stays_out = [each.id for each in shown if re.search(r"stays out (throughout|for the whole)", each.text)]
    goes_in = [each.id for each in shown if "Plug in only while" in each.text]
    assert (bool(stays_out), bool(goes_in)) == ((True, False) if way is PumpSupply.OWN else (False, True))


def test_what_is_taken_off_is_taken_off_at_the_supply() -> None:
    """A plug pulled only at the board hangs live in a wet case."""
    for key in (("fill", "pump_on_the_bridged_supply"), ("first_power", "everything_else_out")):
        assert "at the supply" in TEXTS[key].text
    assert not [key for key, each in TEXTS.items() if re.search(r"pulled off", each.text)]


def test_no_time_is_named_after_which_a_dry_pump_is_ruined() -> None:
    """Two notices of 12 V pumps give no time; "within a minute" and "within minutes" had no source."""
    assert not [key for key, each in TEXTS.items() if re.search(r"within (a )?minutes?", each.text)]


def test_the_same_hazard_has_the_same_words_at_every_stage() -> None:
    assert TEXTS["first_power", "blades"].text == TEXTS["fan_headers", "blades"].text
    assert "soon ruined" in TEXTS["fill", "pump_never_dry"].text
    assert "soon ruined" in TEXTS["bleed", "inlet_covered"].text


def test_the_citations_say_what_was_read() -> None:
    """EPA's sheet is by the Office of Compliance; ASHRAE's clause forbids air, so that it cannot vouch for it.

    EPA Doc. No. 1102, updated March 1998, heading; ASHRAE 15-1994, Emergency Interim Standards Action, 10.1.2. HSE GS4
    names risks and asks for no eyewear, no steps and no way of letting down.
    """
    epa = TEXTS["fill", "used_coolant"].source
    assert "Office of Compliance" in epa
    assert "OSWER" not in epa
    oxygen = TEXTS["pressure_hold", "never_oxygen"].source
    assert "Emergency Interim Standards Action" in oxygen
    assert "B31.3-2016, 345.5.3 (air is allowed)" in oxygen
    gs4 = [each.source for each in TEXTS.values() if "GS4" in each.source]
    assert gs4
    assert all("risk only" in source or "risk to eyes only" in source for source in gs4)


def test_no_source_is_a_practice_without_a_name() -> None:
    sources = [each.source for stage in DEFAULT.stages for each in stage.cautions]
    sources += [each.source for stage in DEFAULT.stages for each in stage.steps]
    sources += [each.source for stage in DEFAULT.stages for each in stage.limits]
    assert not [source for source in sources if "residential fuel-gas practice" in source]


def test_the_step_that_starts_a_supply_says_how() -> None:
    """PS_ON# is pin 16 and COM pin 17: microATX specification 1.2, fig. 8. The 10-pin plug has another map."""
    step = next(each for each in DEFAULT.stage("first_power").steps if each.id == "supply_alone")
    assert "Plug out: bridge pins 16 and 17 of the 24-pin" in step.do
    assert "ATX12VO" in step.do


def test_a_line_behind_the_valve_is_vented_before_it_is_uncoupled() -> None:
    """HSE GS4 4th ed., paras 7-9: hose whip."""
    step = next(each for each in DEFAULT.stage("pressure_hold").steps if each.id == "isolate")
    assert "vent the line" in step.do
    assert "before you uncouple" in step.do


def test_the_help_of_the_hold_says_what_its_published_practice_leaves_out() -> None:
    """ASTM E2930-13(R2021), 1.1: "does not apply to deformable vessels"."""
    assert "leaves out vessels that deform" in DEFAULT.stage("pressure_hold").help.purpose


@pytest.mark.parametrize(
    "words",
    [
        ("emergency number first", "15 minutes, lenses out", "poison centre now", "vet now"),
        ("30 mA RCD or GFCI", "test button", "plug, strip or socket is not touched"),
        ("pins 16 and 17", "mains plug out", "ATX12VO"),
        ("gas bottle stands chained", "never oxygen"),
        ("Rings, watch and bracelet off", "ampere jack"),
    ],
    ids=["first aid", "RCD", "bridge", "bottle", "rings"],
)
def test_the_readme_says_it_too(words: tuple[str, ...]) -> None:
    """The same sources as the cautions, and the bridge by the microATX specification 1.2, fig. 8."""
    text = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    safety = text.partition("## Safety")[2].partition("\n## ")[0]
    assert not [each for each in words if each not in safety]
