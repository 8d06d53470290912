"""What each screen asks and does, without a screen: one question at a time, in words, through the logbook."""
