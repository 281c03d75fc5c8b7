"""What each kind of figure was judged against, where that comes from, and what it means.

The one place where these sentences stand. A screen shows them when a figure's name is pressed,
and prints them under the page.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class Explanation:
    """One kind of figure in three sentences or so.

    `here` is said first where its placeholders are known on the page.
    """

    title: Any
    against: Any
    origin: Any
    bench: Any
    here: Any = ""

    def told(self, values: Mapping[str, Any]) -> list[str]:
        """The sentences, one paragraph each, with what differs on this page first."""
        known = bool(self.here) and bool(values)
        first = [str(self.here) % values] if known else []
        return [*first, str(self.against), str(self.origin), str(self.bench)]


EXPLANATIONS: dict[str, Explanation] = {
    "torque_band": Explanation(
        _("Torque against its figure"),
        _("Held against the low and the high side of the figure that was on file for this joint "
          "when the wrench was on it, at the fastener: an extension is counted in."),
        _("Each figure has its source and version on Specs; factory and shop figures are kept "
          "apart. The maker's service information governs."),
        _("Below the low side the bolt may not hold its joint; above the high side it may have "
          "been stretched. On a joint that can hold the vehicle neither closes a ticket as it "
          "is."),
        _("The wrench is set to %(band)s: %(source)s, version %(version)s."),
    ),
    "torque_spec": Explanation(
        _("Low to high"),
        _("The two sides a torque is held against; one figure means both are the same."),
        _("As written in its source, which stands beside it with its version."),
        _("Set the wrench between them, for threads in the condition that is named: oil or "
          "anti-seize on threads meant dry stretches the bolt further at the same torque."),
    ),
    "interval_used": Explanation(
        _("How much of the interval is used"),
        _("Days and meter since the interval began, each against its limit; the larger share "
          "stands. At 100% it is due."),
        _("The interval is the rule that stood when the recheck was made: the fleet's own, unless "
          "Specs names a source. No published interval exists for track-bar or link bolts."),
        _("Look at the highest first. Track-bar ends and wheel nuts left undone hold the vehicle "
          "at twice the interval, unless the fleet set that otherwise."),
    ),
    "first_of": Explanation(
        _("First of meter and date"),
        _("What the meter may read and the day on which it falls due; whichever comes first "
          "counts."),
        _("The rule's step as it stood when the recheck was made; the steps are on Specs."),
        _("A look too early may not count: where one is shown, not before that time or meter."),
    ),
    "projected": Explanation(
        _("Day by its own use"),
        _("The day on which this vehicle's meter is likely to reach the figure, with an early and "
          "a late day: on kinds of use that we know, about eight of ten came true between them."),
        _("Worked out from this vehicle's own meter readings each time one comes in."),
        _("Have parts and a bay ready for the early day. A meter not read lately makes all three "
          "days mean little: read it."),
    ),
    "use_rate": Explanation(
        _("Use a day"),
        _("Not judged: the likely use a day, and between low and high about eight stretches of "
          "ten."),
        _("From this vehicle's own meter readings; days between an old meter and a new one count "
          "for neither."),
        _("Every projected day on these pages moves with it. Three readings over at least a week "
          "are needed."),
    ),
    "stale_meter": Explanation(
        _("Meter not read lately"),
        _("Held against the fleet's own number of days without a reading (45 as delivered)."),
        _("A setting of the fleet's own; the last reading stands beside it."),
        _("What falls due by distance or hours can pass unseen while nobody reads the meter."),
    ),
    "toe": Explanation(
        _("Toe against its specification"),
        _("Held against the two sides on file when it was read, or those typed on its line; a "
          "rack's figure against the rack's own sheet. Positive is toe-in, both wheels together."),
        _("The specification's source stands above the picture; the maker's service information "
          "governs."),
        _("Outside it wears tires and lets the vehicle wander. Look for play and bent parts "
          "before the rod is turned: toe set over a loose joint does not stay."),
    ),
    "toe_drift": Explanation(
        _("Change since it was last left"),
        _("As left at one visit against as found at the next, beside what the tape alone can make "
          "of it: two steps of the tape (own)."),
        _("From the tape readings on file, brought to one span."),
        _("Beyond the tape's doubt something moved, wore or bent since: rod ends, clamps, "
          "knuckles."),
    ),
    "bump_steer": Explanation(
        _("Geometry at ride height"),
        _("How far the drag link steers the wheels as the axle moves: drag link and track bar "
          "swing on two arcs, and the difference turns the wheels."),
        _("Worked out from the lengths and angles on file; that the two should lie near parallel "
          "and be alike in length is common practice, no source."),
        _("A vehicle that darts over bumps with sound joints has its links at odds: level them "
          "before parts are changed."),
    ),
    "clamp_load": Explanation(
        _("Clamp load"),
        _("How hard the bolt pulls its joint together, from low to high, as a share of the load "
          "it must bear without stretching for good (proof load)."),
        _("T = K d F over the published range of K for the threads, and 4% of the tool; proof "
          "stress as charts quote ISO 898-1 and SAE J429. Specs shows the sources."),
        _("Loose: even the high side is under half of proof load. High: it comes to 90%. It says "
          "nothing of the joint's hole, faces or wear."),
    ),
    "play": Explanation(
        _("What a finding was judged against"),
        _("Measured play against the line that applied; a wrench's finding against the torque "
          "figure. The line is the one in force on that day."),
        _("The rule or the maker's figure that is cited beside it."),
        _("Past the line: out of service until repaired. Inside it is still play: plan the part. "
          "A legal line is no service limit, and nothing is called good."),
    ),
    "repeat_count": Explanation(
        _("Why it counts as a pattern"),
        _("The same joint found loose again and again inside the window, each time after it had "
          "been tightened."),
        _("Window and number are the fleet's own settings; every find and every torque between "
          "them is in the evidence."),
        _("Tightening again has not kept it tight: hole, bolt, sleeve and bracket are looked at, "
          "then the wrench, before torque is added."),
        _("Found loose %(count)s times; %(at_least)s within %(window_days)s days make a pattern."),
    ),
    "shrunk_rate": Explanation(
        _("Beside its kind"),
        _("This joint's finds over what checks like its own find on joints of its kind, with the "
          "range the truth likely lies in."),
        _("From every weighed check on file; a joint with few finds is drawn towards its kind, "
          "since three finds can be luck."),
        _("A range that begins under 1 means it may be a joint like the others. Look for the cause "
          "all the same: it has come loose more than once."),
    ),
    "finds_expected": Explanation(
        _("Finds expected of like checks"),
        _("For each check the chance that one like it finds something: same kind of joint, same "
          "duty, as much use since it was tightened. Added up."),
        _("From this fleet's own record before the month of each check; nothing is taken from "
          "elsewhere."),
        _("Whoever checks more often has more expected, and whoever skips checks gains nothing."),
    ),
    "times_as_often": Explanation(
        _("As often as usual"),
        _("Finds seen over finds expected. The truth likely lies in the range: in 19 cases of 20."),
        _("Worked out from the checks on file; how vehicles differ by nature is counted in."),
        _("The low end is what one can build on. A wide range asks for more checks, not for "
          "haste."),
    ),
    "by_luck": Explanation(
        _("So much by luck alone"),
        _("The chance that so much would ever be seen of this one thing if nothing were wrong with "
          "it, however often one looks."),
        _("From the checks on file, week by week as they came; looking every night does not make "
          "it larger."),
        _("A small chance says that something is there, not what. The steps above find out what."),
    ),
    "false_share": Explanation(
        _("False among those listed"),
        _("Of all that the list has ever shown, the share that comes by chance alone, in the long "
          "run, is at most this."),
        _("A setting of ours: 1 in 40 in each family of things that are judged together, held by "
          "how the list is made."),
        _("One on the list may be false. Look before parts are bought or a tool is thrown out."),
    ),
    "tested_together": Explanation(
        _("Looked at together with it"),
        _("How many of the like were judged at the same time: the more there are, the more it "
          "takes to be listed."),
        _("Joints by themselves; tools, lots, parts, practices and yards together."),
        _("Among a thousand joints some are unlucky. That is taken into account."),
    ),
    "did_it_help": Explanation(
        _("Did it help"),
        _("Finds since it was acted on, held against those predicted if nothing had changed: from "
          "the checks made since, and from what like joints did in the same months."),
        _("Worked out each night from the record; nobody enters it."),
        _("Helped: so few by luck in 1 case of 20 at most. Under 3 predicted it is too early. Keep "
          "checking as before: without checks it can't be told."),
    ),
    "tool_date": Explanation(
        _("Calibration of a torque tool"),
        _("Held against the day its last calibration is good through; a drop or a failed "
          "calibration puts it in doubt from its last good day on."),
        _("From its certificates on file."),
        _("Out of date or in doubt, its readings are no evidence: on a joint that can hold the "
          "vehicle they are refused until it is compared or calibrated."),
    ),
    "ladder": Explanation(
        _("Steps of a recheck"),
        _("Each step is owed at the first of its miles, days or hours. A look that finds nothing "
          "moved passes to the next; one that finds it moved halves the last."),
        _("The source stands in the same row; own means a setting of this fleet."),
        _("The first short step catches a joint that beds in. What keeps moving after it is a "
          "pattern, not bedding in."),
    ),
    "interval_bound": Explanation(
        _("How long such joints hold"),
        _("Held against the share that shall still be tight at the recheck. The curve is the best "
          "guess; the band is how far it may be wrong; the lower edge counts."),
        _("From this fleet's own wrench looks since each fastener was turned, first tightenings "
          "and later ones apart. Nothing is read from a book; the maker's interval governs."),
        _("At least 5 finds on 5 vehicles are asked for, and nothing is proposed past the longest "
          "use at which a joint was found tight."),
        _("At least %(of)s of 100 still tight, %(sure)s of 100 sure: the fleet's own settings."),
    ),
    "interval_looks": Explanation(
        _("What the looks alone say"),
        _("The share of joints not yet found loose, step by step, without any formula."),
        _("From the same looks. A joint gave somewhere between two looks; it counts at the look "
          "that found it."),
        _("Where the curve leaves these steps by far, two kinds of life are mixed: look for the "
          "cause before the interval is changed."),
    ),
    "interval_cost": Explanation(
        _("The cheapest interval"),
        _("Cost of planned work against the cost of work where a joint came loose before: the "
          "interval at which both together cost least for each mile or hour."),
        _("From the two costs the fleet gave, in any one currency, and the fitted life."),
        _("A cost says nothing of safety. Where a loose joint can hold the vehicle the safe "
          "interval stands, however cheap a longer one would be."),
    ),
    "reckoned": Explanation(
        _("How to read these figures"),
        _("Each line says what its figure was judged against, or that it was not judged."),
        _("The last column says where figure and limit are from; own means a setting of ours."),
        _("It is arithmetic on what was typed. The maker's service information for the vehicle at "
          "hand stands above it."),
    ),
}  # fmt: skip
