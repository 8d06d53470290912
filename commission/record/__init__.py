"""The record: what is written down, what it adds up to, and what may be done; it knows the machine."""
