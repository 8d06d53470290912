"""Its commands."""
