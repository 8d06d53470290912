"""Plain data for the reader: what a verdict and an entry say, as text and as JSON; writes no file itself."""
