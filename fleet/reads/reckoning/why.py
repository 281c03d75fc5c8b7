"""Why a text can't be read, for each stable code of the arithmetic, in the reader's language."""

from typing import Any

from django.utils.translation import gettext_lazy as _

FIGURE: dict[str, Any] = {
    "empty": _("nothing was typed"),
    "too_long": _("the text is too long for one figure"),
    "too_many_digits": _("more than 12 digits"),
    "missing_number": _("a number belongs here"),
    "negative": _("a figure below zero makes no sense here"),
    "not_finite": _("this is not a figure that a tool can show"),
    "exponent": _("write the figure out in full, without an exponent"),
    "zero_denominator": _("the lower number of a fraction can't be zero"),
    "improper_fraction": _(
        "the fraction is not less than one; leave a space after the whole number"
    ),
    "odd_denominator": _("no tape is divided so; halves, quarters, 8ths, 16ths, 32nds or 64ths"),
    "fraction_in_metric": _("a fraction does not go with this unit"),
    "fraction_after_decimal": _("a fraction can't follow a decimal"),
    "fraction_in_meter": _("a meter shows no fractions"),
    "ambiguous_comma": _("the comma may mean thousands or a decimal"),
    "ambiguous_point": _("the point may mean thousands or a decimal"),
    "bad_grouping": _("the digits are not grouped in threes"),
    "two_numbers": _("a second number stands here"),
    "inches_past_foot": _("twelve inches or more after feet"),
    "unknown_unit": _("this unit is not known here"),
    "wrong_kind": _("this unit measures something else"),
    "unexpected": _("this does not belong to the figure"),
}

FASTENER: dict[str, Any] = {
    "empty": _("nothing was typed"),
    "too_long": _("the text is too long for one fastener"),
    "unknown_thread": _("this thread is not known here"),
    "unknown_pitch": _("this size has no such pitch"),
    "series_mismatch": _("the pitch is not of the series written behind it"),
    "class_missing": _("the strength class belongs here"),
    "unknown_class": _("this strength class is not known here"),
    "class_of_other_series": _("metric threads go with 8.8, 10.9, 12.9; inch threads with 2, 5, 8"),
    "unexpected": _("this does not belong to the fastener"),
}

RECORD: dict[str, Any] = {
    "empty": _("there is no line to read"),
    "no_time": _("no column is named time"),
    "no_acceleration": _("no column is named ax, ay or az"),
    "unknown_column": _("this column is not known here"),
    "twice": _("this column stands twice"),
    "unknown_unit": _("this unit does not go with the column"),
    "cells": _("the line has more or fewer cells than the first"),
    "not_a_number": _("a number belongs here"),
    "no_time_here": _("the line has no time"),
    "time_backwards": _("time goes back or stands still"),
    "too_few_rows": _("fewer than two samples"),
    "too_many_rows": _("more than a million samples"),
}

SHAKE: dict[str, Any] = {
    "too_few_samples": _("There are too few samples in this record."),
    "too_slow": _("The record has fewer than 25 samples a second: set the logger to 50 or more."),
    "too_short": _("The record is too short: 20 seconds or more are wanted."),
    "gaps": _("Samples are missing over more than half of the record."),
    "time_backwards": _("Time goes back in this record."),
    "still": _("Nothing moves in this record."),
    "no_decay": _("No dying oscillation of this frequency was found: no damping is given."),
    "no_speed": _("There is no speed at which the wheels turn."),
}

REFUSED: dict[str, Any] = {
    "tapered_stud": _(
        "Refused: on a tapered stud the taper takes the torque, not the thread alone. "
        "The maker's figure stands as it is."
    ),
    "tapered_shaft": _(
        "Refused: the nut of a Pitman arm or a draw key draws a taper home, and the taper takes "
        "the torque. The maker's figure stands as it is."
    ),
    "clamp": _(
        "Refused: the torque bends the clamp; its load is not the bolt's alone. "
        "The maker's figure stands as it is."
    ),
    "hub_nut": _(
        "Refused: hub bolts and wheel nuts seat on cones or preload a bearing. "
        "The maker's figure and order stand as they are."
    ),
    "adjusting_nut": _(
        "Refused: a wheel-bearing nut sets end play, not a clamp load. It is seated, backed off "
        "and locked per service information."
    ),
    "to_yield": _("Refused: angle and to-yield bolts are replaced, never judged by torque."),
    "no_thread": _("Refused: no thread carries this joint."),
    "prevailing": _(
        "Refused: the torque that turns the nut before it seats leaves nothing of the figure."
    ),
}

SLOT: dict[str, Any] = {
    "adjusting_nut": _(
        "Refused: a wheel-bearing nut is seated, backed off and locked per service information. "
        "It is never turned on to a slot."
    ),
    "not_slotted": _("Refused: this fastener has no slotted nut."),
    "tapered_shaft": _(
        "Refused: a Pitman-arm nut is not turned on to a slot here. Its figure and lock are the "
        "maker's."
    ),
    "hole_above_slots": _(
        "Refused: the pin hole stands above the slots. On a tapered stud that is a worn taper or "
        "a wrong part: reject stud and arm, hold the vehicle. On a straight bolt, another washer."
    ),
    "below_low_side": _("Not yet: tighten to the low side first, then look at the slot again."),
    "past_high_side": _(
        "Refused: already past the high side. It is never backed off: the fastener is replaced."
    ),
    "no_slot_in_range": _(
        "Refused: no slot lines up within the range. Another washer or nut on a straight bolt; on "
        "a tapered stud no washer unless the maker says so."
    ),
    "one_figure": _(
        "Refused: the maker gives one figure and it was not said that the maker has it tightened "
        "on to the next slot."
    ),
}
