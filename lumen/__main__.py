"""``python -m lumen``: the same as the ``lumen`` command."""

import sys

from lumen.command import main

sys.exit(main())
