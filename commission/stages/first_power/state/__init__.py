"""What the entries add up to."""
