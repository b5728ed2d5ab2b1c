"""The commands of `kingpost`, one module each: `add(commands)` says its arguments, `run(args, step)` does it.

Rooms are imported where a command needs them, so that `kingpost --version` is quick.
"""

# in the order of `kingpost --help`
NAMES = ("report", "preflight", "listen", "check", "strip", "measure", "new", "serve")
