"""What to look at next, by kind of pattern (common practice, no source, unless Specs names one).

The maker's service information stands above each of these; the page says so beside them.
"""

from django.utils.translation import gettext

from fleet.records.models import Pattern


def next_looks(pattern: Pattern) -> list[str]:
    """In order; a step without words of ours stands as it was written."""
    words = _words()
    return [words.get(str(step), str(step)) for step in pattern.next_look]


def _words() -> dict[str, str]:
    return {
        "hole": gettext("the hole, in two directions: has it gone oval?"),
        "bolt": gettext("the bolt: shank, thread and class"),
        "sleeve": gettext("the sleeve: its length, and whether it is clamped"),
        "bracket": gettext("the bracket: gap, faces and cracks"),
        "tool": gettext("then the torque tool that tightened it"),
        "calibration": gettext("its calibration: pull it forward, and leave the tool in its case"),
        "comparison": gettext(
            "compare it at the figure with a tool that is in date: three pulls each"
        ),
        "sweep": gettext("if it is out: a sweep, so that every joint it touched is looked at"),
        "lot_aside": gettext(
            "part number and lot, on the part and on the shelf: set aside what is left of it"
        ),
        "part_fit": gettext("the part number: is it the one called for, and does it fit as made?"),
        "class_marks": gettext("the class marks on head and nut against what is called for"),
        "supplier": gettext("where it came from, and what else came with it"),
        "figure": gettext("the figure the wrench is set to, against the maker's for this joint"),
        "figure_source": gettext("where that figure stands, and who set it"),
        "threads": gettext("the threads: dry, oiled or coated, and what the figure is meant for"),
        "how_checked": gettext("how checks are done there: by which method, loaded or not"),
        "roads": gettext("the roads: what changed, and which vehicles go there"),
        "corrosion": gettext("the wash: salt and mud, how soon and how it is washed off"),
        "load": gettext("the load: plow, box, trailer, and tire size and pressure"),
        "interval": gettext("the interval: is it short enough for that use?"),
        "frame": gettext("the frame at the track bar and the gear: cracks, spread rivets, bends"),
        "brackets": gettext("the brackets: gap, faces, welds and cracks"),
        "clamps": gettext("the sleeve clamps: tight, clear of the slot, both ends"),
        "tie_rod": gettext("the tie rod: bent, its ends loaded, threads in the sleeve"),
        "bays": gettext("bays and working days against what falls due there"),
        "people": gettext(
            "crew: enough of it there for what falls due, and what else it has to do"
        ),
        "trips": gettext("trips: which vehicles are away when theirs falls due"),
    }
