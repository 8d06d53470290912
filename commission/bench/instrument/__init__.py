"""Instruments on the bench: one is described step by step, wherever one is wanted."""
