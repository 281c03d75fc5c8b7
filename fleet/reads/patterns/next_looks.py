"""What to look at next, by kind of pattern (common practice, no source, unless Specs names one).

The maker's service information stands above each of these; the page says so beside them.
"""

from django.utils.translation import gettext

from fleet.reads.patterns.kinds import MISSED, TOE_DRIFT, WORSENING
from fleet.records.models import Pattern


def next_looks(pattern: Pattern) -> list[str]:
    """In order; a step without words of ours stands as it was written."""
    words = _words()
    steps = pattern.next_look or STEPS.get(pattern.kind, ())
    return [words.get(str(step), str(step)) for step in steps]


#: Where the pattern itself names no steps.
STEPS: dict[str, tuple[str, ...]] = {
    "joint": ("hole", "bolt", "sleeve", "bracket", "tool"),
    "tool": ("calibrate", "compare", "sweep"),
    "lot": ("number_and_lot", "shelf", "class_marks", "source"),
    "part": ("number_and_lot", "shelf", "class_marks", "source"),
    "practice": ("figure", "figure_source", "threads"),
    "yard": ("roads", "wash", "load", "how_checked"),
    "yard_duty": ("roads", "wash", "load", "how_checked"),
    WORSENING: ("frame", "brackets", "load"),
    TOE_DRIFT: ("clamps", "tie_rod", "frame_end"),
    MISSED: ("crew", "bays", "trips"),
}


def _words() -> dict[str, str]:
    return {
        "hole": gettext("the hole, in two directions: has it gone oval?"),
        "bolt": gettext("the bolt: shank, thread and class"),
        "sleeve": gettext("the sleeve: its length, and whether it is clamped"),
        "bracket": gettext("the bracket: gap, faces and cracks"),
        "tool": gettext("then the torque tool that tightened it"),
        "calibrate": gettext("its calibration: pull it forward, and leave the tool in its case"),
        "compare": gettext(
            "compare it at the figure with a tool that is in date: three pulls each"
        ),
        "sweep": gettext(
            "if it is out: a sweep, so that each joint it tightened since its last good day is "
            "looked at"
        ),
        "number_and_lot": gettext("part number and lot: on the part, on the shelf, on the invoice"),
        "shelf": gettext("set aside what is left of it on the shelf until it is cleared"),
        "class_marks": gettext("the class marks on head and nut against what is called for"),
        "source": gettext("where it came from, and what else came with it"),
        "figure": gettext("the figure the wrench is set to, against the maker's for this joint"),
        "figure_source": gettext("where that figure stands, and who set it"),
        "threads": gettext("the threads: dry, oiled or coated, and what the figure is meant for"),
        "roads": gettext("the roads: what changed, and which vehicles go there"),
        "wash": gettext("the wash: salt, mud, how soon and how it is washed off"),
        "load": gettext("the load: plow, box, trailer, and tire size and pressure"),
        "how_checked": gettext("how checks are done there: by which method, loaded or not"),
        "frame": gettext("the frame at the track bar and the gear: cracks, spread rivets, bends"),
        "brackets": gettext("the brackets: gap, faces, welds and cracks"),
        "clamps": gettext("the sleeve clamps: tight, clear of the slot, both ends"),
        "tie_rod": gettext("the tie rod: bent, its ends loaded, threads in the sleeve"),
        "frame_end": gettext("the track bar's frame end, and the bracket it hangs on"),
        "crew": gettext("who is there to do them, and what else they have to do"),
        "bays": gettext("bays and working days against what falls due there"),
        "trips": gettext("trips: which vehicles are away when theirs falls due"),
    }
