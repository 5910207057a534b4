"""The estimate packet: composed of an estimate with its lines, schedule, risks, quotes and basis."""
