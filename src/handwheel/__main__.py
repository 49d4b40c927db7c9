"""`python -m handwheel`."""

import sys

from handwheel.cli import main

sys.exit(main())
