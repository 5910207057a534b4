"""What others need of packets: those that a link opens."""

from swardcost_api.packets.cover import shared_packet as shared_packet
from swardcost_api.packets.issued import read_named_file as read_named_file
from swardcost_api.packets.links import FoundLink as FoundLink
from swardcost_api.packets.links import find_link as find_link
