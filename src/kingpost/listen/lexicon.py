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
    going go goes headed heading head into onto moving move entering enter come coming step stepping climbing climb
    lets were
""")
SIDES = _set("""
    north south east west front rear back left right northeast northwest southeast southwest
""")
ORDINALS = _set("""
    one two three four first second third fourth 1 2 3 4 guest hall upstairs downstairs middle corner blue pink
    green yellow kids boys girls small big little larger smaller spare
""")
SHOULD = _set("""
    should ought supposed need needs required requires minimum maximum min max least most wants want code spec
    allows allowed limit target recommend goal ideal rule within expect expected youd
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
LEADS = _set("""
    a an and the this that these my our in on at to up down out back over inside into now okay ok alright next here
    heres then well so around let us lets still also now were im are is
""")
WITHIN = _set("""
    in at on inside by of
""")
