"""State and verdict as rows and sentences."""
