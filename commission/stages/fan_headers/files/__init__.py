"""Its file formats."""
