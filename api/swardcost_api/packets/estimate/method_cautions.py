"""The cautions of methods in the language of a packet.

They are worded once in the methods; here they stand again, so that they can be translated. Cautions that a club wrote
for a method of its own stay as they were written.
"""

from collections.abc import Callable, Sequence

from swardcost_api.packets.wording import Words


def told_cautions(words: Words, cautions: Sequence[str]) -> list[str]:
    """The cautions in the language of the packet, in their order."""
    known = dict(zip(_of_methods(str), _of_methods(words.say), strict=True))
    return [known.get(one, one) for one in cautions]


def is_known(caution: str) -> bool:
    """Whether a caution can be told in every language."""
    return caution in _of_methods(str)


def _of_methods(say: Callable[[str], str]) -> tuple[str, ...]:
    return (
        say(
            "Have buried utilities located and marked (irrigation wire and pipe, drains, power, gas, "
            "communication) before tines, blades or trenchers go into the ground."
        ),
        say(
            "Machines that cut or punch run with their guards and shields on; power is off and "
            "blocked before anyone clears or adjusts them."
        ),
        say(
            "Dry sand gives off respirable silica dust when it is spread, swept, blown or dumped: "
            "keep dust down, keep bystanders upwind, and give the crew the respiratory protection "
            "that the exposure calls for."
        ),
        say(
            "Nobody stands behind or beside a load that is tipped; boxes rise clear of overhead wires "
            "and branches."
        ),
        say(
            "Local codes, the makers' manuals and licensed practice decide; these cautions replace "
            "none of them, and figures are for planning."
        ),
        say(
            "Work beside water can drown people and machines: keep machines off undercut banks, wear "
            "flotation, have a rescue line at hand, and watch levels after rain."
        ),
        say(
            "Ponds, streams, wetlands and their banks are protected: find out which permits, seasons "
            "and silt controls apply before anything is cut, dug or filled."
        ),
        say(
            "Tractors, trailers and spreaders overturn on banks and slopes, more so loaded or on wet "
            "turf: choose the route first and keep roll-over protection and belts in use."
        ),
        say(
            "Trench walls cave in without warning, most of all in sand and after rain: keep spoil and "
            "machines back from the edge, shore, slope or box what is deep, leave a way out, and let "
            "nobody work alone in it."
        ),
        say(
            "Dams, spillways and retaining structures are engineered by licensed people; the "
            "quantities here size no structure."
        ),
        say(
            "Mulching heads throw wood and stones far: clear people out to the distance the maker "
            "states, in all directions, and keep guards and cab windows shut."
        ),
        say(
            "Booms, boxes and trees come near overhead wires: look up first and keep the clearance "
            "that the utility states."
        ),
        say(
            "Loaded trailers and trucks share paths and crossings with crew, players and the public: "
            "set routes, speed and spotters, and check what bridges, culverts and paths carry."
        ),
        say(
            "Sod is heavy and wet: share the lifting, keep knives sheathed, and keep people clear of "
            "pallets on forks."
        ),
        say(
            "Sawing, grinding and breaking concrete, stone and tile gives off respirable silica dust: "
            "cut wet or with extraction, and give the crew the respiratory protection that the "
            "exposure calls for."
        ),
        say(
            "Hot asphalt and wet cement burn skin and eyes: gloves, boots and eye protection, and "
            "water at hand."
        ),
        say(
            "Old paint, flooring and boards may hold lead or asbestos: have them tested before they "
            "are sanded, cut or torn out."
        ),
        say("Falls from ladders and trestles: choose one long enough, foot it, and keep the load off it."),
        say("Electrical, gas, plumbing and structural work in buildings is for licensed people."),
        say(
            "Spacing, flow and pressure of irrigation are a matter of licensed or certified design, "
            "and its controls and power of licensed electrical work; pipe is drained and let down "
            "before it is cut."
        ),
    )
