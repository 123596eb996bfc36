"""What was wished, and how each wish fares, new and after years."""
