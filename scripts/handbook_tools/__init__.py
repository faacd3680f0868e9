"""The parts of scripts/handbook.py: standard library only."""
