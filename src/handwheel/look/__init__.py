"""The look-up: one typed line, and what the tables and calculations say to it.

    answer      what an answer is, and how the catalogue is asked
    lines       a line that names a calculation, with its inputs behind it
    words       calculations and recipes by the words of their titles
    screws, rings, tapers, threads, sizes, zones, materials     one kind of thing each
    find        all of them asked, in order

Nothing is computed here, and nothing is written: every value is a result of the catalogue, a row of a
table, or what was typed.
"""

from handwheel.look.answer import Answer, Bare
from handwheel.look.find import LONGEST, NothingFoundError, look, warm

__all__ = ["LONGEST", "Answer", "Bare", "NothingFoundError", "look", "warm"]
