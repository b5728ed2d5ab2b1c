"""Clauses by which a thing stands changed, without a verb of changing it: "oven's on three fifty", "tub's filling".

What is only seen so is left out: a light "on a dimmer", a valve that is shut (whoever shut it), what others did. Words
are as they are compared: small letters, no apostrophe.
"""

from __future__ import annotations

from collections.abc import Sequence

from .deeds import Deeds
from .lexicon import MINE

LINKS = frozenset("is are s now still all been being was here in".split())
HOLDS = frozenset("got have having put let leave had get".split())  # "I've got the oven heating", "let the ladder down"
GOING = frozenset("running filling heating starting soaking".split())  # what is said while it goes on
THIRD = frozenset(
    """he she they hes shes theyre theyve hed shed somebody someone nobody whoever seller owner tenant who youre
    youve""".split()
)
HAD = frozenset("had have keep kept like left stay stays are all work".split())
ADVICE = frozenset("keep watch mind be walk step dont never always".split())
FOUND = frozenset("came already always found anyway missing gone wrong loose crooked backwards".split())
NEVER = frozenset(
    "not no never isnt arent wasnt wont doesnt dont didnt cant couldnt if when unless should would could".split()
)
NUMBERS = frozenset(
    """one two three four five six seven eight nine ten eleven twelve fifteen twenty thirty forty fifty sixty seventy
    eighty ninety hundred zero half""".split()
)
AFTER = frozenset(
    """at for while and so now here in full high low medium bake broil upstairs downstairs all over both i im we then
    quick till until too down up behind leaning lying there""".split()
)
WHILE = (("while", "i"), ("while", "im"), ("while", "we"), ("so", "i"), ("so", "we"), ("for", "now"), ("till", "i"),
         ("until", "i"), ("for", "the", "test"), ("for", "the", "smell"), ("for", "air"), ("for", "light"))  # fmt: skip
AWAY = frozenset("off out leaning propped".split())  # "the cover's off the panel", "leaning on the wall"
HOW_IT_STOOD = frozenset("the a an my his her their".split())  # "the open oven door", "an open window"
GOES = frozenset("coming going heading climbing moving stepping crawling walking getting".split())
LEAD = 4  # words that may stand before the thing: "all four of the burners"
NAMES = 5  # words within which "got", the thing and its new state follow each other


def others(norms: Sequence[str]) -> bool:
    """Whether somebody else is told to have done it, or is told to do it: "he's shutting it off", "so keep it down"."""
    lead = [w for w in norms[:4] if w not in ("and", "so", "then", "but", "the", "well", "okay")]
    if lead[:1] == ["they"] and lead[1:2] and lead[1] in HAD:  # "the way they had it"
        return False
    return bool(lead) and (lead[0] in THIRD or lead[0] in ADVICE)


def stands(norms: Sequence[str], deeds: Deeds, around: Sequence[str] = ()) -> tuple[str, ...]:
    """What a clause tells to stand changed by the speaker's hand; `around` is the sentence it is cut from."""
    if others(norms):
        return ()
    if told := _held(norms, deeds) or _going(norms, deeds):
        return told
    for k in range(min(len(norms), LEAD + 1)):
        thing = deeds.at(norms, k)
        if not thing or _compound(norms, k, thing, deeds):
            continue
        n = k + 1
        while n < len(norms) and (norms[n] in LINKS or norms[n] in NUMBERS or norms[n - 1 : n + 1] == ["in", "here"]):
            n += 1  # "breaker six is off", "the one in here is off"
        if n == len(norms) or not _free(norms, n) or NEVER & set(norms[: n + 1]) or FOUND & set(norms[: n + 4]):
            continue
        about = deeds.things[thing]
        if norms[n] in about.plain or (norms[n] in about.opens and _meanwhile(around or norms)):
            return (thing,)
    return ()


def _free(norms: Sequence[str], n: int) -> bool:
    """Whether a little word ends what it says, and leads to no noun: "on three fifty", not "on a timer"."""
    after = norms[n + 1] if n + 1 < len(norms) else ""
    if after == "to":
        return norms[n].endswith("ing")  # "heating to four hundred"; "stairs down to the den" is no deed
    if not after or after in AFTER or after in NUMBERS or after[0].isdigit():
        return True
    return norms[n] in AWAY and after in ("the", "on", "against")


def _compound(norms: Sequence[str], k: int, thing: str, deeds: Deeds) -> bool:
    """Whether a thing only tells of what kind the next one is: "furnace door" is a door."""
    after = norms[k + 1] if k + 1 < len(norms) else ""
    return bool(deeds.at(norms, k + 1)) and after not in deeds.things[thing].plain if after else False


def _held(norms: Sequence[str], deeds: Deeds) -> tuple[str, ...]:
    """ "I've got the oven heating", "put the oven on bake", "got the cover off the panel"."""
    for k, word in enumerate(norms[:3]):
        if word not in HOLDS or not set(norms[:k]) <= MINE | {"and", "just", "so", "now"}:
            continue
        if (word in ("have", "had") and not k) or NEVER & set(norms):
            continue
        first = ""
        for t in range(k + 1, min(len(norms), k + 1 + NAMES)):
            thing = deeds.at(norms, t)
            if not thing or _compound(norms, t, thing, deeds):
                continue
            first = first if first and "of" in norms[k:t] else thing  # "the front of the furnace"
            about, rest = deeds.things[first], norms[t + 1 : t + 3]
            if any(w in about.opens or w in about.plain for w in rest if w != "back"):
                return (first,)
    return ()


def _going(norms: Sequence[str], deeds: Deeds) -> tuple[str, ...]:
    """ "Running the hot water", "filling both tubs": told while it goes on."""
    if norms[0] not in GOING:
        return ()
    for t in range(1, min(len(norms), NAMES)):
        thing = deeds.at(norms, t)
        if thing and {norms[0], "on"} & {*deeds.things[thing].opens, *deeds.things[thing].plain}:
            return (thing,)
    return ()


def _meanwhile(norms: Sequence[str]) -> bool:
    """Whether it is said to be so for as long as something else is done."""
    return any(tuple(norms[k : k + len(w)]) == w for w in WHILE for k in range(len(norms)))


def stood(norms: Sequence[str], k: int, deeds: Deeds) -> bool:
    """Whether a little word tells how a thing stood before: "the open oven door" opens nothing."""
    return k > 0 and norms[k - 1] in HOW_IT_STOOD and any(deeds.thing(n) for n in norms[k + 1 : k + 3])


def walks(norms: Sequence[str], things: Sequence[str], deeds: Deeds) -> bool:
    """Whether the speaker himself is what moves: "coming down", "I'm heading up"."""
    own = [n for n in norms if n not in MINE]
    return not things and bool(own) and own[0] in GOES and not any(w in deeds.changes for w in own)
