"""Fits, bounds and decisions that more than one judge uses; numpy and scipy inside functions."""
