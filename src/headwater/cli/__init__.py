"""The command line: reads what the user asks, calls the core, prints; decides nothing."""
