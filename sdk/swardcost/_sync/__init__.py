"""The blocking client, written by `make sdk` from `swardcost._async`; do not edit it here."""
