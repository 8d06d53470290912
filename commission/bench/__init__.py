"""What all stages share on the way: one thing to do at a time, no screen in here."""
