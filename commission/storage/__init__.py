"""The log on disk: one SQLite file that is only ever added to. The only importer of sqlite3 and sqlite_utils."""
