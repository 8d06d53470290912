"""The verdict: pure functions of what was recorded."""
