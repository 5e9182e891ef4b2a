"""Documents: first as plain values (words and order), then as ink on paper or screen."""
