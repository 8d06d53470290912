"""The application: records what happens, answers what is known, refuses the dangerous short cut.

Screens and commands speak to :class:`commission.logbook.book.Logbook` alone. It knows no screen, no database, no unit
other than SI and no device.
"""
