"""What can be done with papers, answer sheets and prints."""

from __future__ import annotations

from academy.exercises.drawing import PartWanted as PartWanted
from academy.exercises.services.draws import draw_again as draw_again
from academy.exercises.services.entering import (
    give_back as give_back,
    hand_in_entered as hand_in_entered,
    keep_entered as keep_entered,
)
from academy.exercises.services.follow_ups import set_follow_up as set_follow_up
from academy.exercises.services.papers import (
    draw_preview as draw_preview,
    edit_paper as edit_paper,
    set_paper as set_paper,
    withdraw_paper as withdraw_paper,
)
from academy.exercises.services.prints import ask_print as ask_print
from academy.exercises.services.remarking import remark_paper as remark_paper
from academy.exercises.services.sheets import (
    hand_in as hand_in,
    keep_answers as keep_answers,
    start_sheet as start_sheet,
)
from academy.exercises.services.timed import close_paper as close_paper
from academy.exercises.services.wanted import Wanted as Wanted
