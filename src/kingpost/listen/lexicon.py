"""Small word lists of English that listening leans on; trade words stand in the trade data."""

from __future__ import annotations


def _set(text: str) -> frozenset[str]:
    return frozenset(text.split())


STARTERS = _set("""
    i its it theres there thats that they you we he she this these those heres now then but so because okay ok
    alright well also plus and or nobody somebody someone whoever theyve youve weve id ill im ive youll wheres whats
""")
TIED = _set("""
    a an the this that these those my your his her its their our one no any some every each both all of in on at to
    from by for with under over behind between beside near into onto off out up down and or but is are was were be
    been very so too as if than old new front rear back left right upper lower main north south east west first
    second third other another same next last whole half more most less few only just not
""")
MOVES = _set("""
    going go goes headed heading head into moving move entering enter come coming step stepping climbing climb in on
    at out walk walking crawl crawling get getting up down over inside back standing
""")
SIDES = _set("""
    north south east west front rear back left right northeast northwest southeast southwest
""")
ORDINALS = _set("""
    one two three four first second third fourth 1 2 3 4 guest hall upstairs downstairs middle corner blue pink
    green yellow red kids boys girls small big little larger smaller spare other
""")
SHOULD = _set("""
    should ought supposed need needs required requires minimum maximum min max least most wants want code spec
    allows allowed limit target recommend goal ideal rule within expect expected youd codes rules calls wanted
""")
WEATHER = _set("""
    outside outdoors cloudy sunny overcast drizzle rain wind weather today clear breezy gray grey sun suns snow
    humid
""")
AGO = _set("""
    ago old age years year since built made dated vintage
""")
MINE = _set("""
    i ive ill im we weve lets let me having
""")
NOUN_AFTER = _set("""
    valve valves switch handle is are to for leaks drips stuck
""")
NOUN_BEFORE = _set("""
    the a main gas water no this that every each emergency automatic has have its their
""")
NEGATIONS = _set("""
    no not none never without nothing isnt arent wasnt werent dont doesnt didnt cant nobody neither nor
""")
COMMON = _set("""
    a an the and or but of in on at to for with from by is are was were be been being it its this that these those
    there here i im ive id ill you youre your they theyre he she we our so as if not no do does did dont doesnt
    didnt has have had just up down out off over about like one some any all which what who how when where then than
    too very can could would should will got get gets goes going go see seen say says said know think want right now
    okay well
""")
GLUE = MOVES | _set("""
    a an and the this that these my our to from around through across by here heres there then now next okay ok
    alright all right well so oh um uh let us lets me i im ive we were are is it its also still again just quickly
    first last final finally one more on off outside start starting begin with same good be see looks looking at
    on we're sorry wait no mean actually rather make still too yes yep right below above beneath onto along past ladder
    toward towards over under main floor level side says check checking quick
""")
SELF = _set("""
    im were lets let i we me
""")
BEING = _set("""
    is are was in on at out up down back over inside here right the a an this that also its clothes linen
""")
IN_AT = _set("""
    in on at out up down inside over
""")
PASSING = _set("""
    under below above beneath beside behind near of for like than feeds feeding serves serving between off from
    toward towards against opposite outside by not
""")
LIES = _set("""
    underneath below attached above behind
""")
ALONE = frozenset((w,) for w in "landing grounds drive island spa ridge mast pool outside".split())
DANGLING = _set("""
    the a an of under over by in on at to from for with into onto its my
""")
TAIL = _set("""
    then now again here first next today please
""")
MEANT = _set("""
    sorry mean meant actually rather wait
""")
WILL = _set("""
    ill well youll gonna before when until once
""")
LATER = _set("""
    later back minute moment bit when before until once
""")
STAIRWARD = _set("""
    upstairs downstairs stairs
""")
THINGS = _set("""
    stairs closet chimney
""")
LIVING = _set("""
    kitchen dining_room living_room entry pantry bathroom_half
""")
TURNS = {
    "up": [
        "up we go",
        "back up",
        "going|coming|heading|head|come|go up",
        "up a level",
        "above that",
        "above all of it",
    ],
    "down": [
        "down we go",
        "back down",
        "back downstairs",
        "going down",
        "coming down",
        "coming back down",
        "heading down",
        "head down",
        "go down",
        "down the stairs",
        "down to",
        "below that",
        "beneath that",
        "directly below",
        "below that again",
        "right below",
        "straight below",
    ],
    "other": ["other side", "opposite side", "far side"],
    "corner": ["round the corner", "around the corner", "turn|turning the corner"],
    "ground": [
        "down the ladder",
        "off the ladder",
        "off the roof",
        "back on the ground",
        "on the lawn",
        "down on the ground",
    ],
    "front": ["front", "out front", "the front"],
    "rear": ["back", "rear", "alley", "out back", "around back", "round back", "the back", "the rear"],
    **{side: [side, f"the {side}"] for side in ("north", "south", "east", "west")},
    "panel": ["panel", "the panel", "main panel", "breaker panel", "electrical panel"],
    "in": ["inside", "back inside", "in we go", "inside now", "in the house"],
    "leave": ["out of there", "out of here", "okay out", "im out", "coming out of there", "out of the hatch"],
}
WITHIN = _set("""
    in at on inside by
""")
NUMBERED = _set("""
    one two three four 1 2 3 4
""")
COLORS = _set("""
    blue pink green yellow red white gray grey guest kids boys girls third second first
""")

READS = _set("""
    reads reading read says say said shows showing show shown get getting got gets gives giving measured measure
    measures is was are at to hit hits reached climbed past sits stays ran runs drops dropped tells tell me its and
    settles pulls pulling makes making comes came have has then running falls fell rises rose climbs went goes
""")
ROUGHLY = _set("""
    about around maybe roughly approximately nearly almost call probably like only just up down right over under a an
    even near another better good
""")
WHERE_NEXT = _set("""
    in at on by near under over behind across here there and out from off with between to back along up down when now
    so then after again cold hot going coming inside outside all both every everywhere thats its but which through
""")
MEASURED = _set("""
    ive im get getting got measured measure reads reading but heres weve
""")
