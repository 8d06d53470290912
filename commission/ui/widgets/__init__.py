"""Widgets: plain data in by method calls, messages out; none knows a logbook, a unit or a database."""
