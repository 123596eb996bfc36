"""A planner for the light and the power of one bedroom."""
