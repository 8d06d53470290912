"""The report of a build: one model, and thin writers of it."""
