"""What the stage is about, as frozen values."""
