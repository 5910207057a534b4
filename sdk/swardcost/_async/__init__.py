"""The asynchronous client; the blocking one in `swardcost._sync` is written from it."""
