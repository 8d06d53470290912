"""The record as plain tables: one a kind of entry, its lists beside it, and some that join kinds."""
