"""Which remarks that nothing was made of have an end, which are listed to be read once, which are asked about."""

from __future__ import annotations

import pytest

from kingpost.duty.evidence import as_said, stand
from kingpost.visit.facts import Decision
from kingpost.visit.record import Remark

from .seeded import AT, WALK, Scene, put

UNCLEAR = "unclear: nothing in it was recognised as a fault, a fact or a limit"


def asked(text: str, place: str = "exterior, rear") -> str:
    """The kind of matter that a remark ends in which listening could not make out; "" where it has its end."""
    scene = Scene()
    r = scene.say(text, place, "set_aside", UNCLEAR)
    record = put(scene)
    assert any(x.id == r.id and x.text == text for x in record.remarks)  # nothing said is lost
    kinds = [m.kind for m in record.owed.matters if {"remark": r.id} in m.evidence and m.kind in ("loose", "talk")]
    return kinds[0] if kinds else ""


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Crawl vents are open.", ""),  # every word is understood, a part is named, and told to be sound
        ("Listing says it's all electric.", ""),  # what the listing says
        ("No aluminum anywhere in there.", ""),  # denies a thing of the watch list, of whatever year
        ("Crawl vents are bodged.", "loose"),  # one word is not understood
        ("Brick joints are open.", "loose"),  # a sound word that is a sign of a fault of this part
        (
            "There's aluminum wiring in the panel.",
            "loose",
        ),
        ("That's aluminum on the branch circuits, no doubt.", "loose"),  # answers the watch list, and denies nothing
        ("Right, Nora, if you asked me.", "talk"),  # names nothing of a house
        ("The next one, same.", "loose"),  # points at something seen
        ("This bit's been chewed.", "loose"),
        ("There's a light fixture in the shower.", "loose"),  # being there may be the fault
        ("There's a smoke detector in the hall.", ""),  # where the code wants one (IRC R314.3)
        ("There's a smoke detector in the hall, hanging by its wires.", "loose"),
        ("There's a smoke detector in the kitchen.", "loose"),  # may be too near the stove
        ("Ground falls away along here, nothing planted against it.", ""),  # sound, and denies plants
        ("Ground falls away along here, ivy planted against it.", "loose"),
        ("Ground falls to the house along here.", "loose"),
    ],
)
def test_what_is_asked_about_a_remark_that_nobody_made_out(text: str, kind: str) -> None:
    assert asked(text) == kind


def test_talk_is_one_question_that_does_not_block_and_another_remark_asks_anew() -> None:
    scene = Scene()
    scene.say("Hmm, who knows.", "", "set_aside", UNCLEAR)
    one = [m for m in put(scene).owed.matters if m.kind == "talk"]
    scene.say("Telling her, too.", "", "set_aside", UNCLEAR)
    two = [m for m in put(scene).owed.matters if m.kind == "talk"]
    assert len(one) == len(two) == 1 and not two[0].blocks and one[0].id != two[0].id
    assert "Hmm, who knows." in two[0].says and "Telling her, too." in two[0].says


def test_words_stand_when_only_their_draft_was_set_aside() -> None:
    """A wrong draft takes nothing from what was said; set aside itself, or as of another house, it shows nothing."""
    aside = "misheard: he said that it ran"
    said = {
        r: Remark(r, WALK, 0.0, 2.0, "Sump pump ran.", "", "set_aside", why)
        for r, why in (("draft", aside), ("itself", aside), ("elsewhere", "about another house"), ("unclear", UNCLEAR))
    }
    decided = [
        Decision("d1", "f1", "set_aside", AT, {"why": aside}),
        Decision("d2", "itself", "set_aside", AT, {"why": aside}),
        Decision("d3", "f3", "set_aside", AT, {"why": "about another house"}),
    ]
    standing = stand(list(said.values()), decided)
    assert standing == {"draft"}
    assert [r.id for r in as_said(list(said.values()), standing) if r.use == "information"] == ["draft"]
