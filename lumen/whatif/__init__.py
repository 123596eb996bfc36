"""Questions about plans that are not written: every height, one setup against another, a drag."""
