"""Other ways to plan the same day, for comparison: each gives routes, and all are timed and counted alike."""
