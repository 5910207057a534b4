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
DEFER = (
    "Local codes, the makers' manuals and licensed practice decide; these cautions replace none of them, and figures "
    "are for planning."
)
