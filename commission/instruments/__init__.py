"""Readers of instruments and of the files they leave; each yields samples and knows no screen and no record."""
