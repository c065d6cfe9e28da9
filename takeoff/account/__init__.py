"""After the order: what is still to buy, how far the work is, what changes cost, and the account."""
