"""What a shop keeps: plain values of machines, owners, stays, services and findings."""
