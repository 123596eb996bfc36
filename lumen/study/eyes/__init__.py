"""What eyes meet: what is seen from where, what glares, what wakes a sleeper."""
