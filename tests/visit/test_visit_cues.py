"""Transcripts: no word is lost, whatever the file gets wrong, and what it gets wrong is said."""

from __future__ import annotations

import random
import re
import time
import tracemalloc
from itertools import pairwise

import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from kingpost.visit import VisitError, cues, read
from kingpost.visit.errors import MOST_ALIKE, Troubles
from kingpost.visit.facts import Cue
from kingpost.visit.subtitles import as_vtt
from tests.conftest import HOUSE, MakeVisit


def heard(text: str, name: str = "walk/a.vtt") -> tuple[tuple[Cue, ...], list[str]]:
    told = Troubles()
    return cues.read(text, name, told).cues, [str(t) for t in told.all()]


def words(found: tuple[Cue, ...]) -> str:
    return " ".join(c.text for c in found)


def test_times_voices_tags_and_signs() -> None:
    found, told = heard(
        "WEBVTT\n\nSTYLE\n::cue { color: red }\n\nNOTE a word aside\nand more\n\n"
        "label 1\n00:01.250 --> 00:00:04.500 align:start\n<v.loud Pat Example><c.big>Sill</c> is <i>soft</i>,\n"
        "under < 3 in and > 2 in &amp; wet.</v>\n"
    )
    assert told == []
    assert found == (
        Cue("walk/a.vtt", 0, 1.25, 4.5, "Sill is soft, under < 3 in and > 2 in & wet.", "Pat Example", 10, True),
    )


def test_two_voices_in_one_cue_share_its_time_by_their_words() -> None:
    found, _ = heard("WEBVTT\n\n00:00.000 --> 00:10.000\nWell <v Pat>it is dry here</v> <v Sam>is it?</v>")
    assert [(c.speaker, c.text, c.start, c.end) for c in found] == [
        ("", "Well", 0.0, 1.429),
        ("Pat", "it is dry here", 1.429, 7.143),
        ("Sam", "is it?", 7.143, 10.0),
    ]


def test_our_splitting_agrees_with_webvtt_py_where_the_file_is_well_formed() -> None:
    rng = random.Random(11)
    for _ in range(50):
        at, blocks = 0, []
        for number in range(rng.randint(1, 12)):
            start = at + rng.randint(0, 5_000)
            at = start + rng.randint(1, 9_000)
            text = "\n".join(" ".join(rng.choices(["sill", "plate", "12", "wet", "<i>rot</i>"], k=3)) for _ in range(2))
            label = f"{number}\n" if rng.random() < 0.5 else ""
            blocks.append(f"{label}{_clock(start)} --> {_clock(at)}\n{text}\n")
        whole = "WEBVTT\n\n" + "\n".join(blocks)
        theirs = [(c.start_time.in_milliseconds() / 1000, c.text.split()) for c in webvtt.from_string(whole).captions]
        found, told = heard(whole)
        assert [(c.start, c.text.split()) for c in found] == theirs
        assert told == []


def _clock(ms: int) -> str:
    return f"{ms // 3_600_000:02d}:{ms // 60_000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"


def vtt(*blocks: str) -> str:
    """A WebVTT file of blocks such as "01 02 words": start and end in seconds, then the words; or raw lines."""
    timed = [re.sub(r"^(\d\d) (\d\d) ", r"00:\1.000 --> 00:\2.000\n", block) for block in blocks]
    return "WEBVTT\n\n" + "\n\n".join(timed) + "\n"


SLIPS: dict[str, tuple[str, list[str], str]] = {
    "end before start": (vtt("05 04 one two"), ["one two"], "3: ends at 4 s, before its start at 5 s"),
    "out of order": (
        vtt("09 10 later", "01 02 earlier"),
        ["earlier", "later"],
        "6: starts at 1 s, after words that start at 9 s",
    ),
    "no such time": (
        vtt("00:61:00.000 --> 00:62:00.000\none two"),
        ["one two"],
        '3: time "00:61:00.000 --> 00:62:00.000" is no time',
    ),
    "unreadable time": (
        vtt("01 02 one", "00:0x --> 00:04\ntwo"),
        ["one", "two"],
        '6: time "00:0x --> 00:04" cannot be read',
    ),
    "words first": (
        vtt("We begin at the front.\nAll of us.", "01 02 one"),
        ["We begin at the front. All of us.", "one"],
        "3: words before the first time",
    ),
    "a blank line in a cue": (
        vtt("01 02 one", "two of them", "03 04 three"),
        ["one two of them", "three"],
        "6: words without a time; kept with the words before",
    ),
    "words where a label may stand": (
        vtt("01 02 one", "and it is wet\n00:03.000 --> 00:04.000\nthree"),
        ["one and it is wet", "three"],
        "6: words without a time",
    ),
    "one voice twice at a time": (
        vtt("01 09 one", "03 04 two"),
        ["one", "two"],
        "6: starts at 3 s, while the words before it run to 9 s",
    ),
    "no head": ("00:01.000 --> 00:02.000\none\n", ["one"], "1: does not begin with WEBVTT"),
    "no times at all": (vtt("One thing. Another."), ["One thing.", "Another."], " no line in it gives a time"),
}


@pytest.mark.parametrize(("text", "kept", "said"), SLIPS.values(), ids=SLIPS)
def test_a_slip_is_said_and_every_word_is_kept(text: str, kept: list[str], said: str) -> None:
    found, told = heard(text)
    assert [c.text for c in found] == kept
    assert [t for t in told if t.startswith(f"walk/a.vtt:{said}")], told


def test_subrip_with_and_without_numbers_blank_lines_and_commas() -> None:
    found, told = heard(
        "\r\n1\r\n00:00:01,500 --> 00:00:02,000\r\n{\\an8}one\r\n1964\r\n"
        "2\r\n00:00:03,000 --> 00:00:04,000\r\ntwo\r\n\r\nstill two\r\n\r\n"
        "00:00:05,000 --> 00:00:06,000\r\nthree\r\n",
        "walk/a.srt",
    )
    assert [(c.start, c.text) for c in found] == [(1.5, "one 1964"), (3.0, "two still two"), (5.0, "three")]
    assert told == []


def test_plain_words_get_estimated_times_at_140_words_a_minute() -> None:
    found, told = heard("The sill is wet. It is 3.5 in wide.\n\nKitchen: dead outlet\n", "walk/a.txt")
    assert [c.text for c in found] == ["The sill is wet.", "It is 3.5 in wide.", "Kitchen: dead outlet"]
    assert [(c.start, c.end, c.timed, c.line) for c in found] == [
        (0.0, 1.714, False, 1),
        (1.714, 3.857, False, 1),
        (3.857, 5.143, False, 3),
    ]
    assert told == []


def test_a_time_at_the_head_of_each_line_is_its_time() -> None:
    found, told = heard(
        "# started 2026-05-12T09:30:00-05:00\n[00:00:10] Sill is soft\n[8:20] Stairs\ngo on\n6:12 is the pitch\n"
        "[1:00:00] done\n",
        "walk/a.txt",
    )
    assert [(c.start, c.text, c.timed) for c in found] == [
        (10.0, "Sill is soft", True),
        (500.0, "Stairs go on 6:12 is the pitch", True),
        (3600.0, "done", True),
    ]
    assert told == []


def test_a_walk_may_say_when_it_began(make_visit: MakeVisit) -> None:
    text = "WEBVTT\n\nNOTE started 2026-05-12T11:05:00-05:00\n\n00:01.000 --> 00:02.000\none\n"
    visit = read(make_visit({"walk/second.vtt": text}))
    assert [(w.source, w.started.isoformat() if w.started else "") for w in visit.walks] == [
        ("walk/walk.vtt", "2026-05-12T09:00:00-05:00"),
        ("walk/second.vtt", "2026-05-12T11:05:00-05:00"),
    ]
    assert visit.trouble == ()


def test_two_walks_at_one_time_that_say_no_start_are_named(make_visit: MakeVisit) -> None:
    folder = make_visit({"walk/second.vtt": vtt("11 12 one")})
    assert [str(t) for t in read(folder).trouble] == [
        "walk/walk.vtt: does not say when it began, nor does walk/second.vtt; both are taken to begin with the visit; "
        'add [[walk]] file = "walk/walk.vtt" and started = a date and time to visit.toml'
    ]
    said = HOUSE + '[[walk]]\nfile = "walk.vtt"\nstarted = 2026-05-12T10:00:00-05:00\n'
    visit = read(make_visit({"walk/second.vtt": vtt("11 12 one"), "visit.toml": said}))
    assert [w.source for w in visit.walks] == ["walk/second.vtt", "walk/walk.vtt"]
    assert visit.trouble == ()


def test_two_walks_one_after_the_other_on_one_clock_are_no_trouble(make_visit: MakeVisit) -> None:
    assert read(make_visit({"walk/second.vtt": vtt("50 55 one")})).trouble == ()


def test_many_bad_lines_are_counted_not_listed() -> None:
    bad = "".join(f"\n00:0{n % 10}x --> 1\nword{n}\n" for n in range(300))
    found, told = heard("WEBVTT\n\n00:01.000 --> 00:02.000\none\n" + bad)
    assert len(told) == MOST_ALIKE + 1
    assert told[-1] == "walk/a.vtt:66: 280 more lines with no time; mend the first ones and run again"
    assert words(found).split() == ["one", *(f"word{n}" for n in range(300))]


text = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=60)


@given(
    st.lists(
        st.one_of(
            text,
            st.just(""),
            st.sampled_from(["00:01.000 --> 00:02.000", "00:09.000 --> 00:03.000", "NOTE x", "7", "WEBVTT", "a --> 9"]),
        ),
        max_size=25,
    ),
    st.sampled_from(["walk/a.vtt", "walk/a.srt", "walk/a.txt"]),
)
def test_any_text_is_read_and_cues_are_in_order(lines: list[str], name: str) -> None:
    found, _ = heard("\n".join(lines), name)
    assert all(one.start <= two.start for one, two in pairwise(found))
    assert [c.index for c in found] == list(range(len(found)))
    assert all(c.end >= c.start and c.text and c.text == " ".join(c.text.split()) for c in found)


# signs that speech has, letters that make no tag and no entity: "<" and ">" are signs of measuring, too
speech = st.lists(
    st.lists(st.text("adefgh0123456789<>&'/.,;", min_size=1, max_size=9), min_size=1, max_size=12),
    min_size=1,
    max_size=12,
)


@given(speech)
def test_what_we_write_reads_back_word_for_word(said: list[list[str]]) -> None:
    written = [Cue("walk/a.vtt", i, float(i), i + 0.5, " ".join(one), f"Voice {i % 2}") for i, one in enumerate(said)]
    found, told = heard(as_vtt(written))
    assert [(c.start, c.end, c.text, c.speaker) for c in found] == [
        (c.start, c.end, c.text, c.speaker) for c in written
    ]
    assert told == []


@given(speech)
def test_every_word_of_a_cue_survives(said: list[list[str]]) -> None:
    found, _ = heard(vtt(*(f"{i:02d} {i + 1:02d} " + " ".join(one) for i, one in enumerate(said))))
    assert [c.text for c in found] == [" ".join(one) for one in said]


@pytest.mark.parametrize("kind", ["binary", "words", "lines", "one line", "brackets", "blanks", "quotes"])
def test_ten_megabytes_of_noise_take_bounded_time_and_memory(make_visit: MakeVisit, kind: str) -> None:
    rng, size = random.Random(5), 10_000_000
    noise = {
        "binary": rng.randbytes(size),
        "words": b"WEBVTT\n\n00:01.000 --> 00:02.000\n" + b"sill wet rot " * (size // 13),
        "lines": b"sill\n" * (size // 5),
        "one line": b"a" * size,
        "brackets": b"WEBVTT\n\n00:01.000 --> 00:02.000\n" + b"<v " * (size // 3),
        "blanks": b"started " + b" " * size,
        "quotes": b"00:00:01 --> " * (size // 13),
    }[kind]
    folder = make_visit({"walk/noise.vtt": noise})
    tracemalloc.start()
    began = time.monotonic()
    visit = read(folder)
    took, peak = time.monotonic() - began, tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert [t.file for t in visit.trouble if t.file == "walk/noise.vtt"]
    assert visit.walks[0].cues
    assert took < 30, f"{took:.1f} s under the memory tracer, on a shared machine"
    assert peak < 400_000_000, f"{peak / 1e6:.0f} MB"


NOT_READ: dict[str, tuple[str, bytes, str]] = {
    "a folder": ("x.vtt/inner.txt", b"x", "x.vtt: is a folder; nothing in it was read"),
    "empty": ("x.vtt", b" ", "x.vtt: no line in it gives a time"),
    "only a head": ("x.vtt", b"WEBVTT\n\n", "x.vtt: no line in it gives a time"),
    "blank": ("x.txt", b" \n\n", "x.txt: holds no words; check that the recogniser wrote its words into it"),
    "zero bytes inside": ("x.vtt", b"WEBVTT\n\n\0\0", "x.vtt: is not text"),
    "latin": ("x.txt", "Le châlet is wet.".encode("cp1252"), "x.txt:1: is not UTF-8; read as Windows-1252"),
    "not even latin": ("x.txt", b"abc \x81\x8d", "x.txt: is not text; save it as plain text in UTF-8"),
    "sound alone": ("x.m4a", b"abc", "x.m4a: is sound that nobody has listened to"),
    "same name": ("walk.srt", b"1\n00:00:01,0 --> 00:00:02,0\nx\n", "walk.srt: has the name of walk/walk.vtt"),
    "another kind": ("x.docx", b"abc", "x.docx: is no transcript and no sound that Kingpost knows"),
}


@pytest.mark.parametrize(("name", "content", "said"), NOT_READ.values(), ids=NOT_READ)
def test_what_is_no_transcript_is_named(make_visit: MakeVisit, name: str, content: bytes, said: str) -> None:
    visit = read(make_visit({f"walk/{name}": content}))
    assert [t for t in map(str, visit.trouble) if t.startswith(f"walk/{said}")], [str(t) for t in visit.trouble]
    assert "walk/walk.vtt" in [w.source for w in visit.walks]


def test_an_empty_transcript_is_named(make_visit: MakeVisit) -> None:
    folder = make_visit({})
    (folder / "walk/x.vtt").touch()
    assert [str(t) for t in read(folder).trouble] == [
        "walk/x.vtt: is empty (0 bytes); copy it again from the device, or take it out"
    ]


def test_sound_beside_its_transcript_is_no_trouble(make_visit: MakeVisit) -> None:
    assert read(make_visit({"walk/walk.wav": b"RIFF", "walk/audio/part-01.ogg": b"OggS"})).trouble == ()


def test_sound_alone_is_no_visit(make_visit: MakeVisit) -> None:
    with pytest.raises(VisitError) as told:
        read(make_visit({"walk/walk.vtt": "", "walk/audio/part-01.ogg": b"OggS"}))
    assert str(told.value).splitlines() == [
        "walk/audio: is sound that nobody has listened to; put its files directly into walk/, and `kingpost report` "
        "listens to them",
        "visit: holds no words, no pictures and no readings that can be used; put a transcript in walk/, pictures in "
        "photos/, or readings in readings.csv",
    ]


def test_encodings_with_a_mark_are_read_without_a_word(make_visit: MakeVisit) -> None:
    for encoding in ("utf-8-sig", "utf-16"):
        visit = read(
            make_visit({"walk/walk.vtt": "WEBVTT\r\n\r\n00:01.000 --> 00:02.000\r\nChâlet\r\n".encode(encoding)})
        )
        assert visit.walks[0].cues[0].text == "Châlet"
        assert visit.trouble == ()
