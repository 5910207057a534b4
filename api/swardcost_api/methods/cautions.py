"""Usual cautions of work that can hurt someone, worded once for all methods.

They name the danger and end by deferring to those who decide; they are no safety instruction.
"""

BURIED_UTILITIES = (
    "Have buried utilities located and marked (irrigation wire and pipe, drains, power, gas, communication) before "
    "tines, blades or trenchers go into the ground."
)
GUARDS = (
    "Machines that cut or punch run with their guards and shields on; power is off and blocked before anyone clears "
    "or adjusts them."
)
SILICA_DUST = (
    "Dry sand gives off respirable silica dust when it is spread, swept, blown or dumped: keep dust down, keep "
    "bystanders upwind, and give the crew the respiratory protection that the exposure calls for."
)
SLOPES = (
    "Tractors, trailers and spreaders overturn on banks and slopes, more so loaded or on wet turf: choose the route "
    "first and keep roll-over protection and belts in use."
)
TRAFFIC = (
    "Loaded trailers and trucks share paths and crossings with crew, players and the public: set routes, speed and "
    "spotters, and check what bridges, culverts and paths carry."
)
DUMPING = (
    "Nobody stands behind or beside a load that is tipped; boxes rise clear of overhead wires and branches."
)
LIFTING = "Sod is heavy and wet: share the lifting, keep knives sheathed, and keep people clear of pallets on forks."
TRENCH_WALLS = (
    "Trench walls cave in without warning, most of all in sand and after rain: keep spoil and machines back from the "
    "edge, shore, slope or box what is deep, leave a way out, and let nobody work alone in it."
)
BESIDE_WATER = (
    "Work beside water can drown people and machines: keep machines off undercut banks, wear flotation, have a rescue "
    "line at hand, and watch levels after rain."
)
WATER_PERMITS = (
    "Ponds, streams, wetlands and their banks are protected: find out which permits, seasons and silt controls apply "
    "before anything is cut, dug or filled."
)
STRUCTURES = (
    "Dams, spillways and retaining structures are engineered by licensed people; the quantities here size no "
    "structure."
)
LICENSED_IRRIGATION = (
    "Spacing, flow and pressure of irrigation are a matter of licensed or certified design, and its controls and "
    "power of licensed electrical work; pipe is drained and let down before it is cut."
)
LICENSED_TRADES = "Electrical, gas, plumbing and structural work in buildings is for licensed people."
OLD_BUILDINGS = (
    "Old paint, flooring and boards may hold lead or asbestos: have them tested before they are sanded, cut or "
    "torn out."
)
LADDERS = "Falls from ladders and trestles: choose one long enough, foot it, and keep the load off it."
STONE_DUST = (
    "Sawing, grinding and breaking concrete, stone and tile gives off respirable silica dust: cut wet or with "
    "extraction, and give the crew the respiratory protection that the exposure calls for."
)
HOT_AND_CAUSTIC = (
    "Hot asphalt and wet cement burn skin and eyes: gloves, boots and eye protection, and water at hand."
)
THROWN_DEBRIS = (
    "Mulching heads throw wood and stones far: clear people out to the distance the maker states, in all "
    "directions, and keep guards and cab windows shut."
)
OVERHEAD = (
    "Booms, boxes and trees come near overhead wires: look up first and keep the clearance that the utility "
    "states."
)
DEFER = (
    "Local codes, the makers' manuals and licensed practice decide; these cautions replace none of them, and figures "
    "are for planning."
)
