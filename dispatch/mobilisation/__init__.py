"""The estimator's price of a bid: moves, the trips that haul them, what each costs, what the price hangs on."""
