"""One map per source on every plane and eye, and what is drawn or judged from those maps."""
