"""The server of the field and desk app: one more holder of the journals (docs/server.md).

errors     one error shape at every door
store      visits, events and devices in SQLite; media by content
layout     the visit folder, kept up to date from events and media
worker     judges a visit folder or writes its report, in a process of its own
judging    when to judge what, with progress
reports    the report as it would be now; no decision waits for it
live       who is listening to what changes
uploads    tus 1.0.0
guard      who may come in: this machine, or a paired device
doors      the doors of a visit; sights: what can be looked at; app: all of it
"""
