"""A terminal logbook for commissioning custom liquid-cooled desktop computers."""

__version__ = "0.3.0"
