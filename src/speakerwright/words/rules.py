"""Every rule that a finding can speak for, listed once: its word, its stage, what it asks, why."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Rule:
    """A rule: its stable word, the stage that judges it, what it asks, and why it matters."""

    word: str
    stage: str
    asks: str
    why: str
    of_others: bool = False
    """Whether only others can answer it: it stays unknown, and nobody is sent to a field for it."""


_RULES = (
    Rule("amplifier_headroom", "brief", "Does the amplifier reach the drive that the peak asks?",
         "A clipped amplifier sounds bad and sends the high driver power that it cannot survive."),
    Rule("amplifier_noise", "brief", "Does the amplifiers' noise vanish in the room's own?",
         "A sensitive horn makes hiss audible in the front row."),
    Rule("seat_spread", "brief", "Do the loudest and the quietest seat stay within the target?",
         "What is right at the back is too loud in front when the level falls too far."),
    Rule("room_statistics", "brief", "Do the room's statistics hold where the level is made?",
         "Below the Schroeder frequency a reverberation time says nothing about a seat."),
    Rule("room_counts", "brief", "Is a directivity assumed, so that the room can count?",
         "Without it the reverberant level is not known and the direct sound stands alone."),
    Rule("drivers_in_budget", "brief", "Do drive units and horns leave room in the budget?",
         "Wood, network and hardware cost too."),
    Rule("record_agrees", "drivers", "Do the record's figures agree with each other?",
         "Figures that contradict each other cannot all be right, and the box follows them."),
    Rule("record_complete", "drivers", "Does the record determine the driver's motor?",
         "Without six independent figures there is no circuit."),
    Rule("exit_matches_throat", "drivers", "Is the driver's exit as wide as the horn's throat?",
         "A step at the throat reflects sound where it is strongest."),
    Rule("exit_bolts_match", "drivers", "Do driver and horn share a bolt pattern?",
         "What cannot be bolted together cannot be built."),
    Rule("hand_over_above", "drivers", "Does the upper driver's record allow this hand-over?",
         "Below its range excursion and heat destroy a high driver."),
    Rule("hand_over_below", "drivers", "Does the lower driver's record reach this hand-over?",
         "Above its range a cone breaks up and beams."),
    Rule("chamber_worked_out", "bass", "Can the chamber's circuit be worked out?",
         "A chamber whose driver is not known has no bass to judge."),
    Rule("bass_reaches_lowest", "bass", "Does the response reach the brief's lowest frequency?",
         "The brief says how low it must go and how far it may fall there."),
    Rule("level_excursion", "bass", "Does excursion allow the brief's peak in its band?",
         "Beyond its linear travel a cone distorts, then breaks."),
    Rule("level_port", "bass", "Does the port's air speed allow the brief's peak in its band?",
         "Fast air tears off at the port's ends: noise, compression, loss of bass."),
    Rule("level_passive", "bass",
         "Do the passive radiators' excursions allow the brief's peak in its band?",
         "A passive radiator moves farthest at its tuning, and bottoms like any cone."),
    Rule("level_amplifier", "bass", "Does the amplifier allow the brief's peak in its band?",
         "Volts and amperes end somewhere, at some frequencies first."),
    Rule("level_heat", "bass", "Does the voice coil bear the brief's average?",
         "Heat gathers over minutes; the rating is for long."),
    Rule("protected_below", "bass", "Is the cone held below the band at the brief's peak?",
         "Below its tuning a vented box no longer holds the cone; a tone there does no good."),
    Rule("port_tunes", "bass", "Is there a port length that tunes the box?",
         "Too small an area tunes too low even without length; too large needs endless length."),
    Rule("port_gap", "bass", "Is there room behind the port's inner end?",
         "A wall close behind the end adds air mass and loss, and in the end stops the port."),
    Rule("port_end_known", "bass", "Does potential flow know this port's ends?",
         "Where the flow turns in less room than it has itself, or a shape is only estimated, the "
         "tuning may come out lower or higher than computed."),
    Rule("port_pipe", "bass", "Does the port's own pipe resonance stay below the cone's output?",
         "A port is a pipe: at its own resonances it sounds what the cone plays inside."),
    Rule("seat_notch", "bass", "Does every seat get the bass, whatever walls and floor send back?",
         "Sound that comes back half a wave late cancels, and no equaliser fills the hole."),
    Rule("boundary_notch", "bass", "Do walls and floor leave the cabinet its power?",
         "Planes at like distances all take power at one frequency, and everybody hears it."),
    Rule("sizes_settle", "cabinet", "Is there a size at which the net volume closes?",
         "A free size follows from the volume, the ports' length and all that stands inside."),
    Rule("loading_built", "cabinet", "Do the panels make the box that the bass works out?",
         "Closed and vented boxes are built; of other loadings only the bass is worked out."),
    Rule("volume_closes", "cabinet", "Do the sizes leave the net volume?",
         "Driver, ports and braces take from the box; what is left is what tunes."),
    Rule("chamber_closed", "cabinet", "Is every chamber's air closed off?",
         "A leak is a second port that nobody designed."),
    Rule("parts_collide", "cabinet", "Is any part where another is?",
         "Two things in one place cannot be built."),
    Rule("driver_depth", "cabinet", "Is there room behind the magnet?",
         "A magnet must breathe and its cable must pass."),
    Rule("driver_width", "cabinet", "Does every frame and flange lie on the baffle?",
         "A frame that stands over the baffle's edge cannot be sealed."),
    Rule("drivers_apart", "cabinet", "Do drivers, horns and ports keep clear of each other?",
         "Frames that overlap cannot be mounted."),
    Rule("fastener_room", "cabinet", "Can every insert be set beside the panels?",
         "An insert under a brace or a divider cannot be set, and the bolt stands in wood."),
    Rule("baffle_web", "cabinet", "Is enough wood left between the openings?",
         "A thin web breaks in the cutting or under the first bolt."),
    Rule("cut_on_baffle", "cabinet", "Does every cut-out lie on the baffle?",
         "A hole beside the panel is a mistake in a place or a size."),
    Rule("body_known", "cabinet", "Does the record give the body's sizes?",
         "What has no size cannot be fitted, and its collisions are not seen."),
    Rule("slot_meets_sides", "cabinet", "Is a slot that shares both sides as wide as its chamber?",
         "Beside a narrower slot air stands under the board, and the port is another."),
    Rule("brace_in_box", "cabinet", "Does every brace start inside the box?",
         "A brace that starts behind the back holds nothing."),
    Rule("fixture_on_wall", "cabinet", "Does every fixture lie wholly on its wall?",
         "A handle half over an edge is a mistake in a place or a size."),
    Rule("driver_comes_out", "cabinet", "Can every driver be taken out again?",
         "A driver that cannot be taken out cannot be put in, nor replaced when it dies."),
    Rule("board_comes_out", "cabinet", "Can the crossover's board be taken out again?",
         "A part that burns out on a board walled in costs the cabinet."),
    Rule("tool_room", "cabinet", "Does a screwdriver with a hand reach every bolt from outside?",
         "A bolt under a neighbour's frame is never tightened."),
    Rule("hand_room", "cabinet", "Does a hand reach what is wired inside?",
         "Somebody has to plug the cables on, and to find the one that came off."),
    Rule("bolt_edge", "cabinet", "Is there enough wood around every bolt?",
         "An insert too near to an edge splits the sheet when it is set."),
    Rule("screw_length", "cabinet", "Do screws bite deep enough without coming out?",
         "A short screw tears out; one too long leaks, or stands where a cone moves."),
    Rule("cable_room", "cabinet", "Is there room for the cable behind the terminal?",
         "A cable bent over a magnet comes off, or buzzes."),
    Rule("body_volume", "cabinet", "Does a driver's stated volume go with its outline?",
         "The net volume takes off one of the two figures; the reader must know which."),
    Rule("size_within", "cabinet", "Is the cabinet within the brief's sizes?",
         "A cabinet that is too deep does not go into its recess."),
    Rule("mass_within", "cabinet", "Is the cabinet within the brief's mass?",
         "Somebody has to carry it."),
    Rule("stands_firm", "cabinet", "Does it stay up on a slope?",
         "A tall box with its weight high and in front falls on whoever bumps into it."),
    Rule("wind_stands", "cabinet", "Does it stand the wind that the brief names?",
         "A cabinet is a sail, and a gust comes without warning."),
    Rule("lift_alone", "cabinet", "Can one person lift it to a table?",
         "Backs are hurt by what just about goes; whoever plans the carrying must know."),
    Rule("lift_two", "cabinet", "Can two people lift it to a table?",
         "What is too heavy for two needs a trolley, a third person, or less wood."),
    Rule("hanging_load", "cabinet", "What must hold it, if it hangs?",
         "What hangs over people is a matter for qualified riggers; they ask for these figures.",
         of_others=True),
    Rule("fire_question", "cabinet", "May lining and cloth be in this room?",
         "Public rooms ask for proof of how stuffs behave in a fire, often on the day.",
         of_others=True),
    Rule("panel_quiet", "cabinet", "Do the walls stay quiet against the driver?",
         "A wall that rings sounds later and longer than the driver that moves it."),
    Rule("lap_leaves_wood", "cabinet", "Do half-laps leave their braces whole?",
         "A notch that runs into a window cuts the frame that the brace is."),
    Rule("glue_up_possible", "cabinet", "Can the panels be put together by straight moves?",
         "Two parts that hold each other in every direction cannot be joined, only drawn."),
    Rule("glue_open_time", "cabinet", "Can every step's glue be spread and closed in time?",
         "Glue that has skinned over before the clamps are on holds little."),
    Rule("air_mode_in_band", "cabinet",
         "Do modes of the air inside stay out of port and cone in the chamber's band?",
         "A standing wave that the cone feeds and the port lets out is heard as a peak, and no "
         "equaliser mends it at every seat."),
    Rule("stock_matches", "cutting", "Is there a sheet of every panel's material and thickness?",
         "What no sheet is made of cannot be cut."),
    Rule("stock_thickness", "cutting", "Are the sheets as thick as the panels are drawn?",
         "Joints, inside sizes and the net volume follow the sheet's thickness."),
    Rule("part_fits_sheet", "cutting", "Does every panel fit on a sheet?",
         "A panel larger than the sheet must be made smaller, or of two."),
    Rule("enough_sheets", "cutting", "Are there enough sheets for all panels?",
         "A sheet that is missing is noticed when the others are cut."),
    Rule("cut_spacing", "cutting", "Do parts stand at least one cut apart?",
         "A cut wider than the gap between two parts takes wood from one of them."),
)
RULES: dict[str, Rule] = {rule.word: rule for rule in _RULES}

_HEAD = """\
# Findings, one by one

Every rule that a finding can speak for, stage by stage. A finding holds, is tight, fails, or is
unknown, by its margin: a difference in dB for levels, a share of the limit for everything else.
A finding that fails stops the plan, unless the design records a reason for it; the reason lapses
when the value gets worse. `speakerwright rule WORD` prints one of these.

This page is printed by `python -m speakerwright.words.rules`; a test holds it up to date.
"""


def page() -> str:
    """The text of docs/findings.md: every rule by stage, with what it asks and why it matters."""
    lines = [_HEAD]
    for stage in dict.fromkeys(rule.stage for rule in _RULES):
        lines.append(f"## {stage.capitalize()}\n")
        lines += [
            f"### {rule.word}\n\n{rule.asks} {rule.why}\n"
            for rule in _RULES if rule.stage == stage
        ]
    return "\n".join(lines)


if __name__ == "__main__":
    print(page(), end="")
