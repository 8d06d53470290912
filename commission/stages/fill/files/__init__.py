"""Its tables of open data."""
