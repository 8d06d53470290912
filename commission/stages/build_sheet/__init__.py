"""The build sheet: what the loop is made of, and what reads it."""
