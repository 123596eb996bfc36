"""The load tree: what feeds what, how much it draws in each setup and hour, how warm it gets."""
