"""The paper: drawings at true size, lists and the lid label."""
