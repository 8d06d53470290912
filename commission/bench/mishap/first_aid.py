"""Cards that are only shown: a pump that stands still, first aid for people and pets."""

from commission.bench.mishap.cards import MISHAPS, Card

FIRST_AID = {
    "pump": Card(
        title="THE PUMP DOES NOT TURN",
        actions=(
            "Switch off at once.",
            "Mains plug out. Look at the pump's plug, its polarity and the header's setting.",
            "Look at the level and for air at the inlet. One further start; else stop.",
        ),
        source="two notices for 12 V pumps; common practice, no source",
    ),
    "eye": Card(
        title="COOLANT IN AN EYE",
        actions=(
            "Rinse at once with lukewarm running water, 15 minutes by the clock.",
            "Contact lenses out as soon as that is easy; go on rinsing.",
            "Then call a poison centre or a doctor. Concentrate, pain or blurred sight: hospital.",
        ),
        source="a regional poison centre; safety data sheets, P305 + P351 + P338 (CLP Annex IV)",
    ),
    "swallowed": Card(
        title="COOLANT SWALLOWED, ANY AMOUNT",
        actions=(
            "Not waking, a fit or bad breathing: emergency number. Else call a poison centre now, feeling well or not.",
            "Do not make anyone vomit. Nothing by mouth for someone who is drowsy.",
            "Have the bottle or its label in your hand when you call.",
        ),
        source="a regional poison centre; NIOSH emergency response card 107-21-1",
    ),
    "pet": Card(
        title="A PET DRANK COOLANT",
        actions=(
            "Go to a vet now; call on the way.",
            "Take the bottle or its label along.",
            "Do not wait for signs: the antidote works in cats within 3 h, in dogs within 8 to 12 h.",
        ),
        source="a pet poison helpline",
    ),
}
"""What is only shown, by the word that calls it."""


CASES = {
    "leak": "coolant comes out at a joint or a part, or air does",
    "spill": "coolant beside the loop, or over the filler",
    "smoke": "smoke, a smell or a bang under power",
    "burst": "a hiss or a burst under test pressure, or a bottle that hisses",
    "pump": "the pump does not turn",
    "eye": "coolant in an eye",
    "swallowed": "somebody swallowed coolant, any amount",
    "pet": "a pet drank coolant",
}
"""What each word means, in the order in which it is listed."""


def card_of(word: str) -> Card | None:
    """Return the card of a word, such as ``leak`` or ``eye``; None where there is none."""
    return next((card for what, card in MISHAPS.items() if what == word), FIRST_AID.get(word))
