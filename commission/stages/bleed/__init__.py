"""The bleed: getting the air out, cycle by cycle."""
