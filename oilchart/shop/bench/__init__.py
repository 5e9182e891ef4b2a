"""What is done at the bench: stays, services, repairs, and what makes a machine unsafe."""
