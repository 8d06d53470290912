"""Its picture on the screen."""
