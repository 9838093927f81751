"""What is told about the record; nothing here writes rows."""
