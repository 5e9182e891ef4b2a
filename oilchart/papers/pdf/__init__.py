"""What PDF papers share: pages, type, blocks, tagging, sizes."""
