"""What the logbook speaks of: quantities, parts, instruments, entries, the state they fold into, and verdicts.

Frozen dataclasses and pure functions on the standard library only. Nothing here knows a screen, a file or a unit
other than SI.
"""
