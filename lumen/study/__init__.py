"""The study joins the written plan with light and power; every face reads it."""
