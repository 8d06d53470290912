"""Typed line to thing, and back."""
