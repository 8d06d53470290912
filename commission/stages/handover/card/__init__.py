"""Which question comes next; no screen in here."""
