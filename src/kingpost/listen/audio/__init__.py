"""From the sound of a walk to timed words, on this machine alone.

    decode      any sound file, piece by piece, as 16 kHz mono
    windows     where somebody speaks, packed into windows of at most 30 seconds
    terms       the trade words that the recogniser is told to expect, the room's own first
    speech      each window heard twice over one encoding: plainly, and with the trade words in mind
    reconcile   the two hearings joined so that no word of either is lost; the doubtful ones marked
    pauses      a stream of words cut into cues
    keep        pieces written down as they come, the finished hearing kept beside the visit
    run         a file, or all sound of a visit

faster-whisper and its weights (the `listen` extra) are fetched when the first sound needs them. Nothing is ever
downloaded: the weights come from a package or a folder of this machine.
"""

from .run import hear_file, hear_visit
from .speech import SpeechMissing

__all__ = ["SpeechMissing", "hear_file", "hear_visit"]
