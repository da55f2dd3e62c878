"""Plans equipment moves: statics, legality, placement, trips and schedule. No files, no printing here."""
