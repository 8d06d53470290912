"""Typed text to SI and SI to text; the only package that knows pint."""
