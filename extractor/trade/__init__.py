"""What a published source, or a rule of the trade that is written down, settles: pure functions over a `Record`."""
