"""The plan as arrays: surfaces, lights, pages and eyes, bodies, ways; who reads, at what level."""
