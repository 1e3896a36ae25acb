"""Where the waiting is done: the loop, the clock, the settings."""
