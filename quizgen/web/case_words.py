"""What is said of isolating and of unsafe acts: one text for the page's script and for the classroom's paper."""

from __future__ import annotations

DEAD_STEPS = (
    ("End any charge, unplug, block the inlet; wheels chocked, zone closed, second person there",
     "Nothing may feed the van or move it first."),
    ("Switch off and take the 12 V side off as the maker says; timers and remote starts off",
     "A van that is awake can close its contactors: first switch it off."),
    ("Pull the service disconnect; own lock and tag on, key with you",
     "Nothing is kept open without your own lock."),
    ("Wait the maker's time, counted from the last source opened",
     "Capacitors have not emptied yet: waiting comes first."),
    ("Prove the indicator on a known source: same leads, same range, near the voltage expected",
     "An indicator that nobody has proved may show 0\u00a0V on a live part."),
    ("Measure every pair: both sides of each open connector; lines, neutral, star, U, V, W, HV+, HV\u2212 to each "
     "other and to the chassis", "Only a proved indicator, on a locked and waited van, tells anything."),
    ("Measure all pairs again after one minute", "There is no first measurement to compare with."),
    ("Prove the indicator again with the same leads", "It comes last: it shows that the indicator still worked."),
)  # fmt: skip
"""The steps of isolating in their order, each with what is wrong when it comes too early."""
PAIRS = 5
"""The step that shows whether a voltage stays."""
DEAD_READING = (
    "0\u00a0V DC and AC (at most 5\u00a0V is allowed); indicator proved before and after; the battery's side stays "
    "live, cover it"
)
LIVE_READING = "a voltage stays"
UNSAFE = {
    "dead": "This test touches bare parts, and nothing has been isolated and proved dead. Up to 410\u00a0V could be "
    "there: a shock that stops the heart, or an arc that burns hands and eyes.",
    "charge": "This is a charge attempt, and a suspect that forbids it is still there: a leak, a bad bond or a welded "
    "contact can put mains voltage on the body of the van, or feed a short.",
    "drive": "This is a drive, and a suspect that forbids it is still there. With a leak to the chassis, a second "
    "contact closes the circuit, and that may be a person. A welded contactor cannot switch the battery off, and a "
    "shorted interlock loop no longer sees an open plug.",
}
"""By why an act is not safe: "dead", or a name from `tracing.data.ACTS`."""
ORDER = (
    "unplug, switch off, lock, wait, prove the indicator, measure every pair, measure again, prove the indicator again"
)
RIGHT_WAY = (
    "Finish what live data can tell with covers on. Rule out leaks, bad bond and welded contacts before any charge, "
    "and leaks of the high-voltage side and a welded contactor before any drive. "
    f"Then {ORDER}. Only then comes the first test on bare parts."
)
STOP = "Treat all as live, leave the zone, keep others out, hand over to the qualified person."
EARLY = (
    "Nothing asked for a stop yet. Nobody is blamed for one.",
    "A welded contactor was still possible, so this was safe. A reading with covers on could have told.",
)
"""Of a stop that was not due: with no suspect that keeps the van live, and with one."""
CLEARED = "By your readings it was still possible when you marked it. Only a reading clears a part."
VERIFY = (
    "After the repair: tools counted, covers on, bond and insulation first, then codes, then a charge like the one "
    "that failed."
)


def words() -> dict[str, object]:
    """As the script takes them."""
    return {
        "steps": DEAD_STEPS, "pairs": PAIRS, "dead": DEAD_READING, "live": LIVE_READING, "unsafe": UNSAFE,
        "way": RIGHT_WAY, "order": ORDER,
        "early": EARLY, "cleared": CLEARED, "stop": STOP, "verify": VERIFY,
    }  # fmt: skip
