"""What may be done, and every refusal."""
