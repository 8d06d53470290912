"""Thin screens: a flow that knows the words, widgets that show them, and keys."""
