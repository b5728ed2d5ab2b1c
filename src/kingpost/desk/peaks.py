"""The waveform of a sound, made in a process of its own and kept: decoding three hours must not slow the other doors.

Run as `python -m kingpost.desk.peaks FILE PER_S`: prints {"seconds", "per_s", "peaks"}, or {"problem"}.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import sys
from pathlib import Path
from typing import Any

from .errors import DeskError
from .layout import written

MOST_PEAKS = 150_000  # five hours at 8 a second
AT_ONCE = 1000
NICE = 10
_running: dict[str, asyncio.Task[dict[str, Any]]] = {}


async def waveform(sound: Path, per_s: float, kept: Path) -> dict[str, Any]:
    """The peaks of a sound, 0 to 1, `per_s` of them a second. Raises DeskError.

    kept  the folder in which they are kept for the next time
    """
    at = kept / f"{sound.name}-{sound.stat().st_mtime_ns}-{per_s:g}.json"
    if at.exists():
        found: dict[str, Any] = json.loads(await asyncio.to_thread(at.read_bytes))
        return found
    task = _running.get(str(at))
    if task is None:
        task = _running[str(at)] = asyncio.create_task(_made(sound, per_s, at))
        task.add_done_callback(lambda _: _running.pop(str(at), None))
    return await asyncio.shield(task)


async def end() -> None:
    """The server stops: what is being decoded is given up."""
    for task in list(_running.values()):
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError, DeskError):
            await task


async def _made(sound: Path, per_s: float, at: Path) -> dict[str, Any]:
    process = await asyncio.create_subprocess_exec(
        sys.executable, "-m", "kingpost.desk.peaks", str(sound), str(per_s), stdout=asyncio.subprocess.PIPE
    )
    try:
        out, _ = await process.communicate()
        made: dict[str, Any] = json.loads(out) if process.returncode == 0 else {"problem": "the sound cannot be read"}
    finally:
        with contextlib.suppress(ProcessLookupError):
            process.kill()
    if "problem" in made:
        raise DeskError(422, str(made["problem"]), "play it; copy it again from the recorder", sound.name)
    await asyncio.to_thread(written, at, json.dumps(made).encode())
    return made


def peaks(sound: Path, per_s: float) -> dict[str, Any]:
    """Raises listen.audio.decode.CannotDecode where nothing of it can be heard."""
    import numpy as np

    from kingpost.listen.audio.decode import RATE, CannotDecode, Sound

    step, out, length = max(1, round(RATE / per_s)), list[float](), 0
    try:
        heard = Sound(sound, 0)
        while len(samples := heard.fill(step * AT_ONCE)):
            length += len(samples)
            whole = len(samples) // step * step
            tops = np.abs(samples[:whole].reshape(-1, step)).max(axis=1) if whole else np.zeros(0)
            out += [round(float(top), 3) for top in tops]
            if whole < len(samples):
                out.append(round(float(np.abs(samples[whole:]).max()), 3))
            heard.drop(len(samples))
            if len(out) >= MOST_PEAKS:
                break
    except CannotDecode:
        if not out:
            raise
    return {"seconds": round(length / RATE, 3), "per_s": per_s, "peaks": out[:MOST_PEAKS]}


def main() -> None:
    from kingpost.listen.audio.decode import CannotDecode

    os.nice(NICE)
    try:
        made = peaks(Path(sys.argv[1]), float(sys.argv[2]))
    except CannotDecode as err:
        made = {"problem": str(err)}
    json.dump(made, sys.stdout)


if __name__ == "__main__":
    main()
