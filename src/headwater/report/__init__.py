"""What is shown of a case: the JSON contract, words, pages, drawings. It decides nothing."""
