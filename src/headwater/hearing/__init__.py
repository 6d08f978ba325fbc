"""What is meant by plain words: complaints, findings and history in a sentence, and answers."""
