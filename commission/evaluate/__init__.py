"""Judges: one module a stage turns what was recorded into a verdict with bounds and reasons; pure functions."""
