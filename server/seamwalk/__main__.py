"""`python -m seamwalk` is the command `seamwalk`."""

import sys

from seamwalk.cli import main

sys.exit(main())
