"""What is shown: worded once, plain records that a pen writes. It decides nothing."""
